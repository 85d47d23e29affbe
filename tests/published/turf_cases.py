"""Cases of published turf outcomes: read from a table, each series worked into winter days."""

import csv
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.hazards.swings import swing_days
from winterrisk.thresholds import SPECIES

NEEDED = ("id", "species", "series", "ask", "low", "high")
KINDS = ("hardiness", "ice", "event", "mould", "drying", "spring")
ASKS = ("kill_temperature", "dead", "water", "loss", "order")
BIOTYPES = ("plain", "hardy")
SERIES_KEYS = (
    "days", "crown_min", "crown_mean", "crown_max", "wet_hours", "sealed", "store_days", "snow_m",
)  # fmt: skip
DIRECT_ICE_STORE = 0.5
"""d at 0 degC that the air under ice in contact with turf lasts (judged)."""
MOULD_SNOW = 0.02
UNFROZEN = -0.5
"""degC of the crown mean above which snow lies on unfrozen ground and air relieves."""


class CaseError(ValueError):
    """A row that cannot be worked; the text says what was found and what was expected."""


@dataclass(frozen=True)
class Case:
    """One row of the table; an order asks of other rows (`ids`) and has no series of its own."""

    id: str
    species: str
    biotype: str
    start_kill: float | None
    kind: str
    series: tuple[Mapping[str, float], ...]
    ask: str
    low: float
    high: float
    citation: str
    ids: tuple[str, ...] = ()


def _number(row: Mapping[str, str], name: str, empty: float | None) -> float | None:
    text = (row.get(name) or "").strip()
    try:
        return float(text) if text else empty
    except ValueError:
        raise CaseError(f"{name}: found {text!r}, expected a number or nothing") from None


def _one_of(row: Mapping[str, str], name: str, allowed: Sequence[str], empty: str) -> str:
    text = (row.get(name) or "").strip().lower().replace(" ", "_").replace("-", "_") or empty
    if text not in allowed:
        raise CaseError(f"{name}: found {row.get(name)!r}, expected one of {', '.join(allowed)}")
    return text


def _json_list(row: Mapping[str, str], name: str) -> list[Any]:
    text = (row.get(name) or "").strip()
    try:
        found = json.loads(text or "[]")
    except json.JSONDecodeError as fault:
        raise CaseError(f"{name}: not JSON ({fault})") from None
    if not isinstance(found, list) or not found:
        raise CaseError(f"{name}: found {text[:40]!r}, expected a JSON list that is not empty")
    return found


def _part(index: int, given: Any) -> dict[str, float]:
    """One part of a series, its numbers checked; a missing crown temperature is taken from the others.

    Keys that no series has (a note, say) are passed over.
    """
    where = f"series part {index + 1}"
    if not isinstance(given, dict):
        raise CaseError(f"{where}: found {given!r}, expected an object with {', '.join(SERIES_KEYS)}")
    part = {}
    for key, value in given.items():
        if key not in SERIES_KEYS or value is None or value == "":
            continue
        try:
            part[key] = float(value)
        except (TypeError, ValueError):
            raise CaseError(f"{where}: {key} is {value!r}, expected a number") from None
        if not math.isfinite(part[key]):
            raise CaseError(f"{where}: {key} is {value!r}, expected a number")
    if part.get("days", 0.0) <= 0.0:
        raise CaseError(f"{where}: days is {given.get('days')!r}, expected more than 0")
    crown = [part[k] for k in ("crown_min", "crown_mean", "crown_max") if k in part]
    if not crown:
        raise CaseError(f"{where}: no crown temperature, expected crown_mean (and crown_min, crown_max)")
    if crown != sorted(crown):
        raise CaseError(f"{where}: crown temperatures {crown} out of order, expected minimum, mean, maximum")
    part.setdefault("crown_mean", 0.5 * (crown[0] + crown[-1]))
    part.setdefault("crown_min", crown[0])
    part.setdefault("crown_max", crown[-1])
    return part


def case_of(row: Mapping[str, str]) -> Case:
    """The case of one row.

    Raises:
        CaseError: what is wrong with it.
    """
    ask = _one_of(row, "ask", ASKS, "")
    kind = _one_of(row, "kind", KINDS, "hardiness")
    high = _number(row, "high", math.inf if ask != "order" else 0.0)
    about = {"id": row["id"], "kind": kind, "ask": ask, "citation": row.get("citation") or ""}
    if ask == "order":
        ids = tuple(str(i) for i in _json_list(row, "low"))
        if len(ids) < 2:
            raise CaseError(f"low: found {list(ids)}, expected two ids or more, most dead first")
        return Case(
            species="", biotype="", start_kill=None, series=(), low=-math.inf, high=high or 0.0,
            ids=ids, **about,
        )  # fmt: skip
    low = _number(row, "low", -math.inf)
    if low is None or high is None or (math.isinf(low) and math.isinf(high)):
        raise CaseError("low and high are both empty, expected the published range")
    return Case(
        species=_one_of(row, "species", SPECIES, ""),
        biotype=_one_of(row, "biotype", BIOTYPES, "plain"),
        start_kill=_number(row, "start_kill", None),
        series=tuple(_part(i, p) for i, p in enumerate(_json_list(row, "series"))),
        low=min(low, high),
        high=max(low, high),
        **about,
    )


def read_cases(path: Path) -> tuple[list[Case], dict[str, str]]:
    """Cases of a CSV file, and why the rows were refused that are none (id -> reason).

    Raises:
        CaseError: not a table of cases at all.
    """
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            reader = csv.DictReader(file)
            rows = [row for row in reader if any(v for v in row.values())]
            found = list(reader.fieldnames or ())
    except OSError as fault:
        raise CaseError(f"{path}: {fault.strerror}") from None
    missing = [name for name in NEEDED if name not in found]
    if missing:
        raise CaseError(f"{path}: no column {', '.join(missing)}; found {', '.join(found) or 'none'}")
    cases: list[Case] = []
    refused: dict[str, str] = {}
    for number, row in enumerate(rows, start=1):
        name = (row["id"] or "").strip() or f"row {number}"
        if name in refused or name in {c.id for c in cases}:
            refused[f"{name} (row {number})"] = "id: found it twice, expected one row an id"
            continue
        try:
            cases.append(case_of({**row, "id": name}))
        except CaseError as fault:
            refused[name] = str(fault)
    return cases, refused


def _by_day(series: Sequence[Mapping[str, float]]) -> dict[str, np.ndarray]:
    """The series as days: lowest and highest of the parts that fall in a day, means of the rest.

    Whole days stay as they are. Parts of days are laid end to end over the nearest whole number of days.
    """
    length = np.array([part["days"] for part in series])
    count = max(1, round(float(length.sum())))
    ends = np.cumsum(length)
    edges = np.linspace(0.0, ends[-1], count + 1)
    overlap = np.minimum(edges[1:, None], ends) - np.maximum(edges[:-1, None], ends - length)
    share = np.where(overlap > 1e-9, overlap, 0.0)
    share /= share.sum(axis=1, keepdims=True)

    def column(name: str, empty: float) -> np.ndarray:
        return np.array([part.get(name, empty) for part in series])

    low = np.where(share > 0.0, column("crown_min", 0.0), np.inf).min(axis=1)
    high = np.where(share > 0.0, column("crown_max", 0.0), -np.inf).max(axis=1)
    sealed = column("sealed", 0.0)
    return {
        "low": low,
        "high": high,
        "mean": share @ column("crown_mean", 0.0),
        "wet": share @ np.clip(column("wet_hours", 0.0), 0.0, 24.0),
        "sealed": share @ np.clip(np.where(sealed <= 1.0, 24.0 * sealed, sealed), 0.0, 24.0),
        "store": share @ column("store_days", DIRECT_ICE_STORE),
        "snow": share @ column("snow_m", 0.0),
    }


def first_day(case: Case, length: int) -> np.datetime64:
    """The date the case's first day stands for: only spring warmth asks for it.

    A series from soft turf starts on 1 September (one of kind spring ends on 25 April); one that starts
    hardened starts in December, before an event in mid February, before a spring on 1 March.
    """
    if case.start_kill is None:
        return np.datetime64("2026-04-25") - length if case.kind == "spring" else np.datetime64("2025-09-01")
    return np.datetime64({"spring": "2026-03-01", "event": "2026-02-15"}.get(case.kind, "2025-12-01"))


def case_days(case: Case) -> xr.Dataset:
    """The case's series as winter days of one zone and member."""
    d = _by_day(case.series)
    bare_frozen = (d["snow"] < MOULD_SNOW) & (d["mean"] < 0.0) & (d["sealed"] == 0.0) & (d["wet"] == 0.0)
    zero = np.zeros(len(d["low"]))
    variables = {
        "crown_temperature_min": d["low"],
        "crown_temperature_mean": d["mean"],
        "crown_temperature_max": d["high"],
        "hours_wet": d["wet"],
        "cooling_at_freeze": zero,
        "hours_sealed": d["sealed"],
        "air_store": d["store"],
        "reaerated": np.where(d["mean"] > UNFROZEN, 1.0 - d["sealed"] / 24.0, 0.0),
        "swings": swing_days(d["low"], d["high"]),
        "snow_depth_mean": d["snow"],
        "hours_snow_on_unfrozen": np.where((d["snow"] >= MOULD_SNOW) & (d["mean"] > UNFROZEN), 24.0, 0.0),
        "drying": (bare_frozen & (case.kind == "drying")).astype(float),
        "hours_thawed_over_frozen": zero,
    }
    data = {name: (("day", "zone", "member"), values[:, None, None]) for name, values in variables.items()}
    dates = pd.date_range(str(first_day(case, len(zero))), periods=len(zero))
    return xr.Dataset(data, coords={"day": dates, "zone": ["case"]})
