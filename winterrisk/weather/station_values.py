"""Text of a station file turned into numbers in our units, refused where a number cannot be true."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from winterrisk.science.faults import Fault, nearest
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.station_text import StationTable
from winterrisk.weather.units import SCALES, in_our_unit, known_units
from winterrisk.weather.variables import DAILY_PRECIPITATION_HIGH, VARIABLES, Variable

TRACE_PRECIPITATION: Final = 0.05
"""Precipitation that a trace stands for [kg m-2] (judged: under the 0.1 mm a gauge can show)."""
TRACE_SNOW_DEPTH: Final = 0.005
"""Snow depth that a trace stands for [m] (judged: under half an inch)."""
FEW_IMPOSSIBLE: Final = 0.01
"""Share of values that cannot be true up to which the checks leave them out one by one; with more of them the
file is read in a wrong unit and refused [1] (judged)."""
TIME: Final = "time"


@dataclass(frozen=True)
class Source:
    """Where one of our variables stands in a file: the column's name there and its unit there."""

    column: str
    unit: str


def sources(
    columns: Mapping[str, object], header: Collection[str], where: str, *, daily: bool
) -> dict[str, Source]:
    """For each of our variables in the file, its column and unit; `time` among them.

    Variables that are not named in `columns` are looked for under our own names and units.

    Raises:
        WeatherError: every column or unit that is not known, with the nearest one that is.
    """
    found: dict[str, Source] = {}
    faults: list[Fault] = []
    for name, given in columns.items():
        if given is None:
            continue
        if name != TIME and name not in VARIABLES:
            near = nearest(name, VARIABLES)
            move = f"did you mean {near!r}?" if near else "see the list of weather variables"
            faults.append(Fault(f"station.columns.{name}", "an unknown variable", "one of ours", move))
            continue
        source = _source(name, given)
        if source.column not in header:
            near = nearest(source.column, header)
            move = f"did you mean {near!r}?" if near else f"the file has {', '.join(header)}"
            faults.append(Fault(where, f"no column {source.column!r}", f"it for {name}", move))
            continue
        ours = VARIABLES[name].unit if name != TIME else ""
        if name != TIME and source.unit not in SCALES[ours]:
            move = f"use one of {', '.join(known_units(ours))}"
            faults.append(
                Fault(f"station.columns.{name}", f"the unit {source.unit!r}", f"a unit of {ours}", move)
            )
            continue
        found[name] = source
    for name in (TIME, *VARIABLES):
        allowed = name == TIME or daily or not VARIABLES[name].daily_only
        if name not in columns and name in header and allowed:
            found[name] = _source(name, name)
    if TIME not in found and not any(f.expected == f"it for {TIME}" for f in faults):
        near = nearest(TIME, header) or nearest("date", header)
        move = f"set station.columns.time = {near!r}" if near else "name it in station.columns.time"
        faults.append(Fault(where, "no column 'time'", "the time of each row", move))
    if faults:
        raise WeatherError(faults)
    return found


def _source(name: str, given: object) -> Source:
    ours = VARIABLES[name].unit if name in VARIABLES else ""
    if isinstance(given, str):
        return Source(given, ours)
    if isinstance(given, Mapping):
        return Source(str(given.get("column", name)), str(given.get("unit") or ours))
    return Source(str(getattr(given, "column", name)), str(getattr(given, "unit", None) or ours))


def values_of(
    table: StationTable,
    name: str,
    source: Source,
    where: str,
    *,
    missing: Collection[str],
    trace: str,
    daily: bool,
) -> NDArray[np.float64]:
    """Numbers of one variable in our unit, NaN where the file says it is missing.

    Raises:
        WeatherError: text that is no number (its line), or numbers that cannot be true (how many, first
        line).
    """
    variable = VARIABLES[name]
    text = pd.Series(table.columns[source.column], dtype=object).str.strip()
    is_missing = text.isin(set(missing) | {""}).to_numpy()
    is_trace = (text == trace).to_numpy() if trace else np.zeros(len(text), dtype=bool)
    numbers = pd.to_numeric(text.where(~(is_missing | is_trace)), errors="coerce").to_numpy(np.float64)
    unread = np.flatnonzero(~np.isfinite(numbers) & ~is_missing & ~is_trace)
    if len(unread):
        first = int(unread[0])
        found = f"{text.iloc[first]!r} in column {source.column!r}"
        move = "mend it, or add it to station.missing if it means missing"
        raise WeatherError(Fault(f"{where} line {table.lines[first]}", found, "a number", move))
    numbers = in_our_unit(numbers, source.unit, variable.unit)
    numbers[is_trace] = {"precipitation": TRACE_PRECIPITATION, "snow_depth": TRACE_SNOW_DEPTH}.get(name, 0.0)
    _refuse_impossible(numbers, variable, source, table.lines, where, daily=daily)
    return numbers


def _refuse_impossible(
    numbers: NDArray[np.float64],
    variable: Variable,
    source: Source,
    lines: NDArray[np.int64],
    where: str,
    *,
    daily: bool,
) -> None:
    high = DAILY_PRECIPITATION_HIGH if daily and variable.name == "precipitation" else variable.high
    outside = np.flatnonzero((numbers < variable.low) | (numbers > high))
    if len(outside) <= FEW_IMPOSSIBLE * np.isfinite(numbers).sum():
        return
    first = int(outside[0])
    count = f"{len(outside)} value{'s' if len(outside) > 1 else ''}"
    found = f"{count} outside the possible in {source.column!r}, first {numbers[first]:.4g} {variable.unit}"
    expected = f"{variable.low:g} to {high:g} {variable.unit}"
    move = f"check its unit (read as {source.unit}), or add the code to station.missing"
    raise WeatherError(Fault(f"{where} line {lines[first]}", found, expected, move))
