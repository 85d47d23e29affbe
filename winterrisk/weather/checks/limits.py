"""Values that cannot be true anywhere, or not at this time of the year in this record."""

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.likely_unit import likely_unit
from winterrisk.weather.checks.normals import normals
from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import TEMPERATURES, Array, Series, series
from winterrisk.weather.checks.telling import Telling, named
from winterrisk.weather.gaps import runs
from winterrisk.weather.variables import DAILY_PRECIPITATION_HIGH, VARIABLES

STRAY = 6.0
"""Standardised distance from the usual at which a value is bad (Durre et al. 2010)."""
LEAST_SPREAD = 2.5
"""Standard deviation taken at least [K]: a calm season says little of the next (judged)."""
LEAPT = 5.0
"""Change at both ends of a stretch of hours below which air came and went by itself [K h-1] (judged)."""


def outside_limits(raw: xr.Dataset) -> pd.DataFrame:
    """Values outside what is physically possible at a golf course, with the unit they may have: bad.

    Args:
        raw (time): hourly or daily, our units.
    Reference: limits of the table of variables; air -60..50 degC after Zahumensky (2004), narrowed.
    """
    tell, found = Telling.of(raw), []
    for name, variable in VARIABLES.items():
        one = series(raw, name)
        if one is None:
            continue
        rain_of_day = one.daily and name == "precipitation"
        high = DAILY_PRECIPITATION_HIGH if rain_of_day else variable.high
        for first, length in runs((one.values < variable.low) | (one.values > high)):
            stretch = one.values[first : first + length]
            above = bool(stretch.max() > high)
            worst, limit = (stretch.max(), high) if above else (stretch.min(), variable.low)
            unit = likely_unit(name, stretch, _around(one, first, length))
            hint = f"; it looks like {unit}" if unit else ""
            text = (
                f"{named(name)} {tell.value(name, worst)}, possible is {tell.value(name, variable.low)} to "
                f"{tell.value(name, high)}{hint}; left out"
            )
            move = f"check the unit of {name} in the station file, or its code for missing values"
            until = one.until(first + length - 1)
            words = tell.sentence(one.times[first], until, text, move)
            found.append(
                Found(name, one.times[first], until, float(worst), limit, "bad", "outside_limits", words)
            )
    return rows(found)


def _around(one: Series, first: int, length: int, reach: int = 72) -> np.ndarray:
    near = np.concatenate(
        [one.values[max(first - reach, 0) : first], one.values[first + length : first + length + reach]]
    )
    limits = VARIABLES[one.name]
    return near[(near >= limits.low) & (near <= limits.high)]


def far_from_season(raw: xr.Dataset) -> pd.DataFrame:
    """Temperatures six or more standard deviations from what is usual at this time of the year: bad.

    The usual is that of the record's own 15-day window (and 3 hours of the day) over all its years; without
    100 days, which take seven years, nothing is said. Hours that were reached and left by small steps are a
    thaw or a front such as the record has not seen: suspect.

    Reference: Durre et al. (2010), climatological outlier check; the least spread is judged.
    """
    tell, found = Telling.of(raw), []
    for name in TEMPERATURES:
        one = series(raw, name)
        if one is None:
            continue
        usual = normals(one.times, one.values, daily=one.daily)
        score = np.nan_to_num(usual.score(one.values, LEAST_SPREAD))
        for first, length in runs(np.abs(score) >= STRAY):
            at = first + int(np.argmax(np.abs(score[first : first + length])))
            worst = float(one.values[at])
            text = (
                f"{named(name)} {tell.value(name, worst)} where {tell.value(name, float(usual.mean[at]))} is "
                f"usual, {abs(score[at]):.0f} times the usual spread away; "
            )
            verdict: Verdict = "bad" if one.daily or _leapt(one.values, first, first + length) else "suspect"
            text += "left out" if verdict == "bad" else "kept"
            until = one.until(first + length - 1)
            words = tell.sentence(one.times[first], until, text, "compare it with a neighbouring station")
            found.append(
                Found(name, one.times[first], until, worst, STRAY, verdict, "far_from_season", words)
            )
    return rows(found)


def _leapt(values: Array, first: int, last: int) -> bool:
    """Whether a stretch of hours was reached or left by a leap."""
    around = values[max(first - 1, 0) : last + 1]
    return bool(np.max(np.nan_to_num(np.abs(np.diff(around))), initial=0.0) >= LEAPT)
