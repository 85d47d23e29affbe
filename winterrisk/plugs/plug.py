"""What a plug, a look at it, and the batch it stood in are; built from the book's tables."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.science.faults import Refused

NEVER = np.datetime64("NaT", "s")
ANY_SPECIES = "all"
"""A look that did not tell the grasses apart."""


class PlugLogError(Refused):
    """A plug, look or batch that cannot be what it says."""


@dataclass(frozen=True)
class Plug:
    """A plug: a core of turf cut from one spot of a zone, to see in the warm whether it lives.

    zone: the label ("4 low"). cut: UTC. crowns: "yes", "no" or "unknown" - were the crowns still on the
    plug when it came out; control: a plug known to be good, that shows whether the batch can green up.
    """

    id: str
    zone: str
    cut: np.datetime64
    area: str = ""
    spot: str = ""
    depth_mm: float = np.nan
    crowns: str = "unknown"
    control: bool = False
    ice_mm: float = np.nan
    batch: str = ""
    label: str = ""


@dataclass(frozen=True)
class Look:
    """One look at a plug: new growth after clipping (0-1), and colour and smell apart from it."""

    plug: str
    time: np.datetime64
    species: str = ANY_SPECIES
    new_growth: float = np.nan
    colour: str = ""
    smell: str = ""


@dataclass(frozen=True)
class Batch:
    """Plugs that stood together: from when in the warm, in what room, with what light.

    room: "sill" or "lamp". temperature [degC], light_hours [h d-1], light_mol [mol m-2 d-1]; NaN where
    nobody noted it. void: a person has thrown the batch out.
    """

    id: str
    warm_from: np.datetime64 = NEVER
    room: str = "sill"
    temperature: float = np.nan
    light_hours: float = np.nan
    light_mol: float = np.nan
    void: bool = False


def _text(value: Any) -> str:
    return (
        ""
        if value is None or (isinstance(value, float) and np.isnan(value)) or value is pd.NA
        else str(value)
    )


def _number(value: Any) -> float:
    return float("nan") if value is None or value is pd.NA or value == "" else float(value)


def _rows(table: pd.DataFrame) -> Iterator[dict[str, Any]]:
    """The rows as mappings, times as datetime64; far quicker than the library's own way on text columns."""
    columns = [
        table[name].to_numpy().astype("datetime64[s]")
        if pd.api.types.is_datetime64_dtype(table[name])
        else table[name].to_numpy(dtype=object)
        for name in table.columns
    ]
    return (dict(zip(table.columns, row, strict=True)) for row in zip(*columns, strict=True))


def utc_moment(value: Any) -> np.datetime64:
    """A UTC time to the second from text, Timestamp or datetime64; NaT where there is none."""
    if isinstance(value, np.datetime64):
        given: np.datetime64 = value.astype("datetime64[s]")
        return given
    if value is None or value == "" or pd.isna(value):
        return NEVER
    moment: np.datetime64 = pd.Timestamp(value).to_datetime64().astype("datetime64[s]")
    return moment


def plugs_from(table: pd.DataFrame | Iterable[Plug]) -> tuple[Plug, ...]:
    """Plugs from the book's table (columns id, zone, cut and any of the others); Plugs pass through."""
    if not isinstance(table, pd.DataFrame):
        return tuple(table)
    return tuple(
        Plug(
            id=str(row["id"]),
            zone=_text(row.get("zone")),
            cut=utc_moment(row["cut"]),
            area=_text(row.get("area")),
            spot=_text(row.get("spot")),
            depth_mm=_number(row.get("depth_mm")),
            crowns=_text(row.get("crowns")) or "unknown",
            control=bool(row.get("control", False)),
            ice_mm=_number(row.get("ice_mm")),
            batch=_text(row.get("batch")),
            label=_text(row.get("label")),
        )
        for row in _rows(table)
    )


def looks_from(table: pd.DataFrame | Iterable[Look]) -> tuple[Look, ...]:
    """Looks from the book's table `looks` (columns plug, time and any of the others); Looks pass through."""
    if not isinstance(table, pd.DataFrame):
        return tuple(table)
    return tuple(
        Look(
            plug=str(row["plug"]),
            time=utc_moment(row["time"]),
            species=_text(row.get("species")) or ANY_SPECIES,
            new_growth=_number(row.get("new_growth")),
            colour=_text(row.get("colour")),
            smell=_text(row.get("smell")),
        )
        for row in _rows(table)
    )


def batches_from(table: pd.DataFrame | Iterable[Batch] | Batch | None) -> dict[str, Batch]:
    """Batches by id from the book's table `batches` (columns id and any of the others)."""
    if table is None:
        return {}
    if isinstance(table, Batch):
        return {table.id: table}
    if not isinstance(table, pd.DataFrame):
        return {batch.id: batch for batch in table}
    return {
        str(row["id"]): Batch(
            id=str(row["id"]),
            warm_from=utc_moment(row.get("warm_from")),
            room=_text(row.get("room")) or "sill",
            temperature=_number(row.get("temperature")),
            light_hours=_number(row.get("light_hours")),
            light_mol=_number(row.get("light_mol")),
            void=bool(row.get("void", False)),
        )
        for row in _rows(table)
    }
