"""Daily extremes that contradict each other: zeros for missing, highest below lowest, too wide a range."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import DIGITS, Flags, Series, nearby, series
from winterrisk.weather.checks.telling import Telling, named

HIGHEST: Final = "air_temperature_max"
LOWEST: Final = "air_temperature_min"
ZERO_FAHRENHEIT: Final = -17.8
"""0 degF [degC], to a tenth."""
TENTH: Final = 0.05
CROSSED: Final = 1.0
"""How far the highest may lie below the lowest before both are bad [K]: rounding (Durre et al. 2010)."""
RANGE: Final = 40.0
"""Largest believable range between a day's extreme and the other one of three days [K] (Durre et al. 2010)."""
ALIKE_DAYS: Final = 10
"""Days of a month with highest = lowest from which all of them are bad (Durre et al. 2010)."""


def zeros_for_missing(raw: xr.Dataset) -> pd.DataFrame:
    """Days whose highest and lowest are both 0 degC, or both 0 degF: a zero written for a missing value: bad.

    Reference: Durre et al. (2010), naught check.
    """
    pair = _pair(raw)
    if pair is None:
        return rows()
    high, low = pair
    tell = Telling.of(raw)
    flag = np.zeros(len(high.values), dtype=bool)
    for zero in (0.0, ZERO_FAHRENHEIT):
        flag |= (np.abs(high.values - zero) < TENTH) & (np.abs(low.values - zero) < TENTH)
    text = "highest and lowest are both {value}, as where zero is written for missing; left out"
    move = "leave missing days empty in the station file"
    return _of_both(tell, pair, flag, 0.0, "zeros_for_missing", text, move)


def highest_below_lowest(raw: xr.Dataset) -> pd.DataFrame:
    """Days whose highest lies more than 1 K below the lowest: both bad, for either may be wrong.

    Reference: Durre et al. (2010), internal consistency (the same day only: next-day variants flag good
    values).
    """
    pair = _pair(raw)
    if pair is None:
        return rows()
    high, low = pair
    tell, found = Telling.of(raw), []
    for at in np.flatnonzero(high.values < low.values - CROSSED - DIGITS):
        text = (
            f"highest {tell.value(HIGHEST, high.values[at])} is below lowest "
            f"{tell.value(LOWEST, low.values[at])}; both left out"
        )
        words = tell.sentence(
            high.times[at], high.until(at), text, "look for swapped columns or a typing error"
        )
        for one in pair:
            value = float(one.values[at])
            found.append(
                Found(
                    one.name,
                    high.times[at],
                    high.until(at),
                    value,
                    CROSSED,
                    "bad",
                    "highest_below_lowest",
                    words,
                )
            )
    return rows(found)


def too_wide(raw: xr.Dataset) -> pd.DataFrame:
    """Extremes 40 K or more from the nearest opposite extreme of the day before, of and after: bad.

    Reference: Durre et al. (2010), lagged range check.
    """
    pair = _pair(raw)
    if pair is None:
        return rows()
    high, low = pair
    tell, found = Telling.of(raw), []
    with np.errstate(invalid="ignore"):
        warmest = np.fmax.reduce([nearby(low.values, k) for k in (-1, 0, 1)])
        coldest = np.fmin.reduce([nearby(high.values, k) for k in (-1, 0, 1)])
        flags = ((high, high.values - warmest >= RANGE), (low, coldest - low.values >= RANGE))
    for one, flag in flags:
        other = warmest if one is high else coldest
        for at in np.flatnonzero(flag):
            value, apart = float(one.values[at]), abs(float(one.values[at] - other[at]))
            text = (
                f"{named(one.name)} {tell.value(one.name, value)}, {tell.measure(apart, 'K')} from the other "
                "extremes of these three days; left out"
            )
            words = tell.sentence(
                one.times[at], one.until(at), text, "compare it with a neighbouring station"
            )
            found.append(
                Found(one.name, one.times[at], one.until(at), value, RANGE, "bad", "too_wide", words)
            )
    return rows(found)


def alike_all_month(raw: xr.Dataset) -> pd.DataFrame:
    """Days with highest = lowest in a month that has ten or more of them: bad, a mean stands in both columns.

    Reference: Durre et al. (2010), duplication within a month.
    """
    pair = _pair(raw)
    if pair is None:
        return rows()
    high, low = pair
    alike = np.abs(high.values - low.values) < DIGITS
    month = high.times.astype("datetime64[M]").astype(np.int64)
    count = np.bincount(month - month[0], weights=alike)[month - month[0]]
    text = "highest and lowest are the same ({value}) on ten or more days of the month; left out"
    move = "check that both columns are what they say, not the mean"
    flag = alike & (count >= ALIKE_DAYS)
    return _of_both(Telling.of(raw), pair, flag, float(ALIKE_DAYS), "alike_all_month", text, move)


def _pair(raw: xr.Dataset) -> tuple[Series, Series] | None:
    high, low = series(raw, HIGHEST), series(raw, LOWEST)
    return None if high is None or low is None else (high, low)


def _of_both(
    tell: Telling,
    pair: tuple[Series, Series],
    flag: Flags,
    limit: float,
    check: str,
    text: str,
    move: str,
    verdict: Verdict = "bad",
) -> pd.DataFrame:
    found = []
    for at in np.flatnonzero(flag):
        for one in pair:
            value = float(one.values[at])
            said = text.format(value=tell.value(one.name, value))
            words = tell.sentence(one.times[at], one.until(at), said, move)
            found.append(Found(one.name, one.times[at], one.until(at), value, limit, verdict, check, words))
    return rows(found)
