"""Single values that jump away from both neighbours and back."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import DIGITS, TEMPERATURES, Flags, Series, nearby, series
from winterrisk.weather.checks.telling import Telling, named

DAILY_SPIKE: Final = 25.0
"""Difference from both neighbouring days [K] (Durre et al. 2010; the number from memory)."""
HOURLY_SPIKE: Final = 8.0
"""Difference from the mean of both neighbouring hours [K] (judged)."""
ALIKE: Final = 3.0
"""How near each other both neighbours must lie for an hourly spike [K] (judged)."""
DOWNSLOPE_SPIKE: Final = 16.0
"""The same in downslope-wind country, where warm air breaks through for an hour [K] (judged)."""


def spikes(raw: xr.Dataset, *, downslope: bool = False) -> pd.DataFrame:
    """Single temperatures far above (spike) or below (dip) both neighbours: bad.

    Days: 25 K from either neighbour, in the same direction. Hours: 8 K from the mean of both neighbours where
    these differ by less than 3 K, so that a front's one-way fall is none.

    Args:
        raw (time): hourly or daily; downslope: the place knows chinook or foehn.
    Reference: Durre et al. (2010), spike/dip check, for days; hours judged after it.
    """
    tell, found = Telling.of(raw), []
    for name in TEMPERATURES:
        one = series(raw, name)
        if one is None:
            continue
        limit = DAILY_SPIKE if one.daily else DOWNSLOPE_SPIKE if downslope else HOURLY_SPIKE
        before, after = nearby(one.values, -1), nearby(one.values, 1)
        for at in np.flatnonzero(_spiky(one, before, after, limit)):
            value = float(one.values[at])
            kind = "dip" if value < before[at] else "spike"
            text = (
                f"{named(name)} {tell.value(name, value)} between {tell.value(name, before[at])} and "
                f"{tell.value(name, after[at])}: a {kind} of a single {'day' if one.daily else 'hour'}; left out"
            )
            words = tell.sentence(one.times[at], one.until(at), text, "look at the sensor's cable and supply")
            found.append(Found(name, one.times[at], one.until(at), value, limit, "bad", kind, words))
    return rows(found)


def _spiky(one: Series, before: np.ndarray, after: np.ndarray, limit: float) -> Flags:
    with np.errstate(invalid="ignore"):
        if one.daily:
            up, down = one.values - before, one.values - after
            return (np.minimum(np.abs(up), np.abs(down)) >= limit - DIGITS) & (up * down > 0)
        away = np.abs(one.values - (before + after) / 2.0)
        return (away > limit + DIGITS) & (np.abs(after - before) < ALIKE)
