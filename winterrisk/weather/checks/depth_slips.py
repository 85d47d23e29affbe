"""Stretches of snow depth in another unit: found where the record jumps into it and back."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import rows
from winterrisk.weather.checks.series import Series, series
from winterrisk.weather.checks.slip_edges import LONGEST_GAP, Slip, between, slip_found
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gaps import runs

SLIPS: Final = (
    Slip("mm", "cm", lambda x: x / 10.0),
    Slip("cm", "mm", lambda x: x * 10.0),
    Slip("cm", "m", lambda x: x / 100.0),
    Slip("m", "cm", lambda x: x * 100.0),
    Slip("inches", "cm", lambda x: x * 2.54),
    Slip("cm", "inches", lambda x: x / 2.54),
)
JUMP: Final = 0.05
"""Jump of snow depth at the edge of a slip [m] (judged)."""
NEAR: Final = 0.15
"""How near to the factor the jump must be [1] (judged)."""
SHORTEST: Final = {"hour": 6, "day": 2}
"""Shortest slip (judged): shorter ones are left to jumps."""
ONE_EDGE: Final = 24
"""Length of a slip that has no second edge [h] (judged); days need both edges."""
ONE_EDGE_FACTOR: Final = 5.0
"""Factor by which a slip without a second edge must be too large (judged): a shovel makes depths small, nothing
makes them ten times larger in an hour."""


def depth_slips(raw: xr.Dataset) -> pd.DataFrame:
    """Stretches of snow depth in mm, cm, m or inches taken for another of them: bad, with the likely unit.

    Found within a season of snow by a jump by the factor between two units, and back. Without the way back
    only depths ten or a hundred times too large are, over 24 h; a shovel makes them small. In days, 2.54 times
    is weather. The shortest stretches come first: what lies between two of them is the record.

    Args:
        raw (time).
    Reference: judged.
    """
    one = series(raw, "snow_depth")
    if one is None:
        return rows()
    tell, found = Telling.of(raw), []
    shortest = SHORTEST["day" if one.daily else "hour"]
    for begin, length in runs(np.nan_to_num(one.values, nan=1.0) > 0.0):
        season = Series(one.name, one.times, one.values[begin : begin + length], one.step)
        slips = [
            (edges, last - first, first, last, slip)
            for slip in SLIPS
            if not (one.daily and "inches" in (slip.unit, slip.taken_for))
            for first, last, edges in _slipped(season, slip)
        ]
        taken = np.zeros(length, dtype=bool)
        for _, _, first, last, slip in sorted(slips, key=lambda c: (-c[0], c[1])):
            if taken[max(first - 1, 0) : last + 2].any():
                continue
            taken[first : last + 1] = True
            if last - first + 1 >= shortest:
                found.append(slip_found(tell, one, slip, begin + first, begin + last))
    return rows(found)


def _slipped(season: Series, slip: Slip) -> list[tuple[int, int, int]]:
    """First and last position and number of edges of the stretches of one snow season that may have slipped."""
    known, values = season.known, season.values[season.known]
    if len(known) < 2:
        return []
    enter = np.abs(slip.true(values[1:]) / values[:-1] - 1.0) <= NEAR
    leave = np.abs(slip.true(values[:-1]) / values[1:] - 1.0) <= NEAR
    big = (np.abs(np.diff(values)) >= JUMP) & (np.diff(known) <= LONGEST_GAP)
    large = slip.true(np.array([1.0]))[0] < 1.0 / ONE_EDGE_FACTOR and not season.daily
    return [
        (first, last, edges)
        for first, last, edges in between(enter & big, leave & big, known)
        if edges == 2 or (large and first > known[0] and last - first + 1 >= ONE_EDGE)
    ]
