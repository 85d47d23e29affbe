"""Changes from one hour to the next that air does not make."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import DIGITS, Array, series
from winterrisk.weather.checks.telling import Telling, named

BAD, SUSPECT = 10.0, 7.0
"""Change in an hour [K] that is bad, and suspect (judged; screening guides have 5 to 10)."""
DOWNSLOPE_BAD, DOWNSLOPE_SUSPECT = 20.0, 14.0
"""The same in downslope-wind country (judged)."""
RETURN_WITHIN: Final = 12
"""Hours within which the way back makes the whole excursion bad [h] (judged)."""
RETURN_TO: Final = 5.0
"""How near the value before the step the temperature must come again [K] (judged)."""
TEMPERATURE: Final = "air_temperature"


def steps(raw: xr.Dataset, *, downslope: bool = False) -> pd.DataFrame:
    """Hourly changes of air temperature above 10 K (bad) or 7 K (suspect).

    Where the temperature jumps back within 12 h the hours between are bad; where it stays, only the hour after
    the step is: a front that fast is nearly unknown, and one hour is bridged without harm.

    Args:
        raw (time): hourly; downslope: the place knows chinook or foehn (20 K and 14 K).
    Reference: judged, after Zahumensky (2004) and hourly screening guides.
    """
    one = series(raw, TEMPERATURE)
    if one is None or one.daily:
        return rows()
    bad, suspect = (DOWNSLOPE_BAD, DOWNSLOPE_SUSPECT) if downslope else (BAD, SUSPECT)
    tell, found = Telling.of(raw), []
    change = np.diff(one.values)
    seen = -1
    for before in np.flatnonzero(np.abs(change) > suspect + DIGITS):
        at = int(before) + 1
        if at <= seen:
            continue
        verdict: Verdict = "bad" if abs(change[before]) > bad + DIGITS else "suspect"
        back = _way_back(one.values, change, at, suspect) if verdict == "bad" else None
        last, seen = (at, at) if back is None else (back - 1, back)
        limit = bad if verdict == "bad" else suspect
        text = (
            f"{named(TEMPERATURE)} from {tell.value(TEMPERATURE, one.values[at - 1])} to "
            f"{tell.value(TEMPERATURE, one.values[at])} within an hour, "
            f"{tell.measure(limit, 'K')} is the most to be believed"
        )
        text += "; left out" if verdict == "bad" else "; kept"
        until = one.until(last)
        words = tell.sentence(one.times[at], until, text, "look at the sensor and compare a neighbour")
        found.append(
            Found(TEMPERATURE, one.times[at], until, float(one.values[at]), limit, verdict, "step", words)
        )
    return rows(found)


def _way_back(values: Array, change: Array, at: int, least: float) -> int | None:
    """Position of the first hour after the excursion that begins at `at`, None where there is no way back."""
    start = values[at - 1]
    for back in range(at + 1, min(at + RETURN_WITHIN + 1, len(values))):
        opposite = change[back - 1] * change[at - 1] < 0
        if opposite and abs(change[back - 1]) > least and abs(values[back] - start) <= RETURN_TO:
            return back
    return None
