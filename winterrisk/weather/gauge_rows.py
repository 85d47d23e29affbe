"""What was done about a gauge in the cold, in words."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gauge_melt import Pulse
from winterrisk.weather.second_source_rows import stretches

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

WATER: Final = "precipitation"
CHECK: Final = "gauge"


def _step(raw: xr.Dataset) -> tuple[np.timedelta64, str, int]:
    """One step of a record, its word, and how many make a day."""
    if raw.attrs.get("step") == "daily":
        return np.timedelta64(1, "D"), "days", 1
    return np.timedelta64(1, "h"), "h", 24


def _found(
    raw: xr.Dataset, begin: int, end: int, value: float, limit: float, verdict: Verdict, words: str
) -> Found:
    times = raw["time"].to_numpy()
    return Found(WATER, times[begin], times[end - 1] + _step(raw)[0], value, limit, verdict, CHECK, words)


def about_the_gauge(raw: xr.Dataset, kind: str, catches: bool | None) -> pd.DataFrame:
    """A row where the record's own signature and the course file's `gauge.kind` do not agree, or none."""
    if kind == "unheated" and catches is True:
        verdict: Verdict = "note"
        words = (
            "The course file calls the gauge unheated, but this record has snow in the cold as often as rain in "
            'mild weather: its zeros are believed. If it is heated or read by a person, set gauge.kind = "heated".'
        )
    elif kind == "heated" and catches is False:
        verdict = "suspect"
        words = (
            "The course file calls the gauge heated, but this record has almost nothing in the cold: its zeros "
            'there are not believed. See whether its heating works, or set gauge.kind = "unheated".'
        )
    else:
        return rows()
    return rows([_found(raw, 0, raw.sizes["time"], np.nan, np.nan, verdict, words)])


def melted(raw: xr.Dataset, water: Array, pulse: Pulse) -> pd.DataFrame:
    """Rows of one thaw's melt: the hours that dry air makes certain, and those that may be rain."""
    tell, times = Telling.of(raw), raw["time"].to_numpy()
    found = []
    for sure in (True, False):
        flag = np.zeros(len(water), dtype=bool)
        flag[pulse.steps[pulse.sure == sure]] = True
        for begin, end in stretches(flag, apart=1):
            amount = float(water[begin:end].sum())
            words = f"{tell.value(WATER, amount)} from {tell.moment(times[begin])} came after a cold spell"
            words += (
                ": snow that melted in the gauge, not rain; taken out."
                if sure
                else ": snow that melted in the gauge, or rain; counted as unknown until another source tells."
            )
            found.append(_found(raw, begin, end, amount, 0.0, "bad" if sure else "suspect", words))
    return rows(found)


def missing_zeros(raw: xr.Dataset, flag: Flags, kind: str) -> pd.DataFrame:
    """Rows (verdict "suspect") of the cold steps whose precipitation counts as missing."""
    tell, times = Telling.of(raw), raw["time"].to_numpy()
    _, word, day = _step(raw)
    why = "there is no gauge" if kind == "none" else "a gauge that is not heated says 0 when it snows"
    found = []
    for begin, end in stretches(flag, apart=day):
        count = int(flag[begin:end].sum())
        words = f"{count} {word} of cold from {tell.moment(times[begin])}: {why}, so snow here is unknown."
        found.append(_found(raw, begin, end, count, 0.0, "suspect", words))
    return rows(found)


def by_depth(raw: xr.Dataset, flag: Flags, water: Array) -> pd.DataFrame:
    """Rows (verdict "note") of the snow told by the snow depth; value: its water [kg m-2]."""
    tell, times = Telling.of(raw), raw["time"].to_numpy()
    _, _, day = _step(raw)
    found = []
    for begin, end in stretches(flag, apart=day):
        amount = float(water[begin:end][flag[begin:end]].sum())
        words = f"{tell.value(WATER, amount)} of snow from {tell.moment(times[begin])} by the rise of the snow depth."
        found.append(_found(raw, begin, end, amount, 0.0, "note", words))
    return rows(found)


def confirmed_zeros(raw: xr.Dataset, flag: Flags) -> pd.DataFrame:
    """One row (verdict "note") for all cold steps without snow that the snow depth confirms."""
    if not flag.any():
        return rows()
    steps = np.flatnonzero(flag)
    words = f"{len(steps)} {_step(raw)[1]} of cold without snow are confirmed: the snow depth did not rise."
    return rows([_found(raw, int(steps[0]), int(steps[-1]) + 1, len(steps), 0.0, "note", words)])
