"""Published turf outcomes against the hazards: `turf_scores.py [CASES.csv]`, one summary line last.

A case is a made-up series of crown days that stands for a published winter, chamber or event, and the range
that was published for it. Columns: id, species, biotype, start_kill, kind, series, ask, low, high, citation.
"""

import csv
import json
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk import hazards
from winterrisk.hazards.swings import swing_days
from winterrisk.hazards.wet_freeze import crown_water
from winterrisk.thresholds import TABLE, Thresholds

SHIPPED = Path(__file__).parent / "data" / "turf_cases.csv"
COLUMNS = ("id", "species", "biotype", "start_kill", "kind", "series", "ask", "low", "high", "citation")
DIRECT_ICE_STORE = 0.5
"""d at 0 degC that the air under ice in contact with turf lasts (judged)."""
MOULD_SNOW = 0.02
UNFROZEN = -0.5
"""degC of the crown mean above which snow lies on unfrozen ground and air relieves."""

Values = Mapping[str, float]
ChanceOf = Callable[[str, np.ndarray, Values, str], np.ndarray]


@dataclass(frozen=True)
class Case:
    """One row of the table."""

    id: str
    species: str
    biotype: str
    start_kill: float | None
    kind: str
    series: list[dict[str, float]]
    ask: str
    low: str
    high: str
    citation: str


@dataclass(frozen=True)
class Result:
    """A case, its value, and whether the value is in the published range."""

    case: Case
    value: float
    met: bool


def read_cases(path: Path) -> list[Case]:
    """Cases of a CSV file."""
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    if not rows or any(column not in rows[0] for column in COLUMNS):
        sys.exit(f"{path}: found columns {list(rows[0]) if rows else []}, expected {', '.join(COLUMNS)}")
    return [
        Case(
            id=row["id"],
            species=row["species"],
            biotype=row["biotype"] or "plain",
            start_kill=float(row["start_kill"]) if row["start_kill"] else None,
            kind=row["kind"],
            series=json.loads(row["series"] or "[]"),
            ask=row["ask"],
            low=row["low"],
            high=row["high"],
            citation=row["citation"],
        )
        for row in rows
    ]


def first_day(case: Case) -> np.datetime64:
    """The date the case's first day stands for: only spring warmth asks for it.

    A series from soft turf starts on 1 September (one of kind spring ends on 25 April); one that starts
    hardened starts in December, before an event in mid February, before a spring on 1 March.
    """
    length = sum(int(part["days"]) for part in case.series)
    if case.start_kill is None:
        return np.datetime64("2026-04-25") - length if case.kind == "spring" else np.datetime64("2025-09-01")
    return np.datetime64({"spring": "2026-03-01", "event": "2026-02-15"}.get(case.kind, "2025-12-01"))


def case_days(case: Case) -> xr.Dataset:
    """The case's series as winter days of one zone and member."""
    days: dict[str, list[float]] = {
        name: [] for name in ("low", "mean", "high", "wet", "sealed", "store", "snow")
    }
    for part in case.series:
        given = {key: float(value) for key, value in part.items() if value is not None}
        mean, sealed = given["crown_mean"], given.get("sealed", 0.0)
        values = {
            "low": given.get("crown_min", mean),
            "mean": mean,
            "high": given.get("crown_max", mean),
            "wet": given.get("wet_hours", 0.0),
            "sealed": sealed * 24.0 if sealed <= 1.0 else sealed,
            "store": given.get("store_days", DIRECT_ICE_STORE),
            "snow": given.get("snow_m", 0.0),
        }
        for name, value in values.items():
            days[name] += [value] * int(part["days"])
    d = {name: np.array(values) for name, values in days.items()}
    bare_frozen = (d["snow"] < MOULD_SNOW) & (d["mean"] < 0.0) & (d["sealed"] == 0.0) & (d["wet"] == 0.0)
    variables = {
        "crown_temperature_min": d["low"],
        "crown_temperature_mean": d["mean"],
        "crown_temperature_max": d["high"],
        "hours_wet": d["wet"],
        "cooling_at_freeze": 0.0 * d["low"],
        "hours_sealed": d["sealed"],
        "air_store": d["store"],
        "reaerated": np.where(d["mean"] > UNFROZEN, 1.0 - d["sealed"] / 24.0, 0.0),
        "swings": swing_days(d["low"], d["high"]),
        "snow_depth_mean": d["snow"],
        "hours_snow_on_unfrozen": np.where((d["snow"] >= MOULD_SNOW) & (d["mean"] > UNFROZEN), 24.0, 0.0),
        "drying": (bare_frozen & (case.kind == "drying")).astype(float),
        "hours_thawed_over_frozen": 0.0 * d["low"],
    }
    return as_winter_days(variables, first_day(case))


def as_winter_days(variables: Mapping[str, np.ndarray], start: np.datetime64) -> xr.Dataset:
    """Daily arrays as winter days of one zone and member."""
    length = len(next(iter(variables.values())))
    data = {name: (("day", "zone", "member"), values[:, None, None]) for name, values in variables.items()}
    return xr.Dataset(data, coords={"day": pd.date_range(str(start), periods=length), "zone": ["case"]})


def one_turf(species: str, hardy: bool = False) -> xr.Dataset:
    """Turf of one grass in one zone."""
    return xr.Dataset(
        {"share": (("zone", "species"), [[1.0]]), "hardy": ("zone", [hardy])},
        coords={"zone": ["case"], "species": [species]},
    )


def case_traits(case: Case, changed: Values) -> dict[str, np.ndarray]:
    """Central traits; a case that starts harder than the grass's limit raises the limit to its start."""
    traits = {key: np.array([value]) for key, value in changed.items()}
    name = f"kill_limit_hardy.{case.species}" if case.biotype != "plain" else f"kill_limit.{case.species}"
    key = name if name in TABLE else f"kill_limit.{case.species}"
    limit = float(changed.get(key, TABLE[key].value))
    if case.start_kill is not None and case.start_kill < limit:
        traits[key] = np.array([case.start_kill])
    return traits


def harm_of(case: Case, changed: Values | None = None) -> xr.Dataset:
    """Doses and kill temperature (day) of the case, at central traits but for the rows changed."""
    harm = hazards.run(
        case_days(case),
        one_turf(case.species, case.biotype != "plain"),
        case_traits(case, changed or {}),
        start_kill=case.start_kill,
    )
    return harm.isel(species=0, zone=0, member=0)


def dead_share(harm: xr.Dataset, species: str, chance: ChanceOf) -> float:
    """Dead share after the last day [0-1], as running maximum, at central thresholds; no background."""
    values = Thresholds.defaults().values
    chances = {
        name: np.asarray(chance(name, hazards.cumulative(harm[f"dose_{name}"].to_numpy()), values, species))
        for name in hazards.HAZARDS
    }
    return float(np.maximum.accumulate(hazards.combine(chances))[-1])


def crown_water_share(harm: xr.Dataset, case: Case) -> float:
    """Water share of the crown after the last day [1]."""
    key = f"kill_limit.{case.species}"
    limit = float(np.squeeze(case_traits(case, {}).get(key, TABLE[key].value)))
    last = harm.isel(day=-1)
    return float(
        crown_water(
            last["kill_temperature"].to_numpy(), TABLE["soft_kill"].value, limit, last["wetness"].to_numpy()
        )
    )


def value_from(harm: xr.Dataset, case: Case, chance: ChanceOf = hazards.chance) -> float:
    """The asked value after the last day."""
    if case.ask == "kill_temperature":
        return float(harm["kill_temperature"][-1])
    if case.ask == "loss":
        return float(harm["kill_temperature"][-1] - harm["kill_temperature"][0])
    if case.ask == "water":
        return crown_water_share(harm, case)
    if case.ask == "dead":
        return dead_share(harm, case.species, chance)
    sys.exit(f"case {case.id}: found ask {case.ask!r}, expected kill_temperature, dead, water, loss or order")


def value_of(case: Case) -> float:
    """The asked value after the last day, at central thresholds and one member."""
    return value_from(harm_of(case), case)


def score(cases: list[Case], value: Callable[[Case], float] = value_of) -> list[Result]:
    """Every case with its value; an order case's value is its smallest step."""
    results = [
        Result(c, v, bool(float(c.low or "-inf") <= v <= float(c.high or "inf")))
        for c in cases
        if c.ask != "order"
        for v in [value(c)]
    ]
    values = {r.case.id: r.value for r in results}
    for case in cases:
        if case.ask == "order":
            ids: list[Any] = json.loads(case.low)
            missing = [i for i in ids if i not in values]
            if missing:
                sys.exit(f"case {case.id}: orders unknown cases {missing}")
            step = float(np.min(-np.diff([values[i] for i in ids])))
            results.append(Result(case, step, step >= float(case.high or 0.0)))
    return results


def main(arguments: list[str]) -> int:
    """Print every case and one summary line."""
    paths = [Path(a) for a in arguments] or [SHIPPED]
    results: list[Result] = []
    for path in paths:
        results += score(read_cases(path))
    for r in results:
        asked = f"step >= {r.case.high}" if r.case.ask == "order" else f"{r.case.low}..{r.case.high}"
        print(f"{'ok  ' if r.met else 'MISS'} {r.case.id:34s} {r.case.ask:16s} {r.value:8.3f}  {asked}")
    missed = [r.case.id for r in results if not r.met]
    met = len(results) - len(missed)
    print(f"turf cases: {met} of {len(results)} met; missed: {', '.join(missed) or 'none'}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
