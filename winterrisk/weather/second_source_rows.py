"""What a second source filled, told a stretch at a time."""

from collections.abc import Sequence
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gaps import runs
from winterrisk.weather.second_source_hours import Source

Array = NDArray[np.float64]
HOUR = np.timedelta64(1, "h")
CHECK: Final = "second source"
ONE_STRETCH: Final = 24
"""Hours between two filled stretches that are still told as one [h]."""


def stretches(flag: NDArray[np.bool_], apart: int = ONE_STRETCH) -> list[tuple[int, int]]:
    """First index and index past the end of the runs of True, those less than `apart` from another as one."""
    found: list[tuple[int, int]] = []
    for begin, length in runs(flag):
        if found and begin - found[-1][1] < apart:
            found[-1] = (found[-1][0], begin + length)
        else:
            found.append((begin, begin + length))
    return found


def rows_of_filled(
    raw: xr.Dataset,
    name: str,
    taken: NDArray[np.bool_],
    sources: Sequence[Source],
    *,
    bias: Array | None = None,
    spread: Array | None = None,
    ratio: float = 1.0,
) -> pd.DataFrame:
    """A row (verdict "note") for each stretch of hours that second sources filled.

    Args:
        raw: the record, for its clock and units; taken (time): hours that were filled, of variable `name`.
        bias, spread (time) [K]: taken off, and left, where it is temperature; ratio [1]: where it is water.
    Returns:
        Findings; value: hours filled, limit: hours of the stretch.
    """
    tell, times = Telling.of(raw), raw["time"].to_numpy()
    told = " and ".join(s.name for s in sources)
    what = name.replace("_", " ")
    found = []
    for begin, end in stretches(taken):
        hours = int(taken[begin:end].sum())
        words = f"{what} of {hours} h from {tell.moment(times[begin])} comes from {told}"
        here = taken[begin:end]
        if bias is not None and spread is not None:
            off = float(np.nanmean(bias[begin:end][here]))
            words += f"; {tell.measure(abs(off), 'K')} were {'taken off' if off >= 0 else 'added'}"
            words += f", good to about {tell.measure(float(spread[begin:end][here].max()), 'K')}"
        if ratio != 1.0:
            words += f", times {ratio:.2f}: the station here catches that much of it over the years"
        found.append(
            Found(name, times[begin], times[end - 1] + HOUR, hours, end - begin, "note", CHECK, words + ".")
        )
    return rows(found)
