"""Stretches of precipitation or wind in another unit: found against the record's own amounts."""

from collections.abc import Mapping
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import DIGITS, Array, Flags, Series, series
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gaps import runs
from winterrisk.weather.units import INCH, KNOT, MILE_PER_HOUR

WATER_SLIPS: Final = {
    "cm taken for mm": 0.1, "inches taken for mm": 1 / INCH,
    "mm taken for cm": 10.0, "mm taken for inches": INCH,
}  # fmt: skip
WIND_SLIPS: Final = {
    "km/h taken for m/s": 3.6, "mph taken for m/s": 1 / MILE_PER_HOUR, "knots taken for m/s": 1 / KNOT,
}  # fmt: skip
"""What the values are -> factor by which they are wrong."""
WET_DAYS: Final = 10
"""Wet days in a row that are judged together (judged: of nine records with 100 winters no ten wet days met the
limits below; eight did)."""
FEWEST_WET: Final = 80
"""Wet days of a record below which nothing is said (judged)."""
WATER_OFF: Final = 1.65
"""Logarithm by which the middle day sum must be off (judged: 0.7 of a factor of ten)."""
SMALL, LARGE = 0.02, 0.95
"""Shares of the other wet days that lie below a small and a large day sum (judged: 0.02 finds the gauge's own
step)."""
ODD_SHARE: Final = 0.5
"""Share of the days that must lie beyond them (judged)."""
LEAST_FACTOR: Final = 6.0
"""Factor of the small day sum that every day of a stretch of too large sums must reach (judged)."""
WIND_HOURS: Final = 96
"""Hours of wind that are judged together [h] (judged)."""
WIND_FACTOR: Final = 2.5
"""Factor by which their median must be off that of the months about (judged)."""
WIND_TOP: Final = 0.995
"""Share of the record's other hours that their upper quarter must exceed (judged: no four stormy days do)."""
FEWEST_WIND: Final = 2000
"""Hours of wind below which nothing is said [h] (judged)."""
LEAST_WIND: Final = 0.3
"""Median wind taken at least [m s-1] (judged)."""


def precipitation_slips(raw: xr.Dataset) -> pd.DataFrame:
    """Stretches of precipitation in cm, inches or mm taken for another of them: bad, with the likely unit.

    The middle of ten wet days in a row against that of the record's wet days of the season, in logarithms; and
    many day sums smaller, or larger, than the record otherwise has. A slip of a few days cannot be told from
    weather.

    Args:
        raw (time).
    Reference: judged.
    """
    one = series(raw, "precipitation")
    if one is None:
        return rows()
    day, total = _day_sums(one)
    wet = np.flatnonzero(total > 0.0)
    if len(wet) < FEWEST_WET:
        return rows()
    off = _off_season(np.log(total[wet]), day[wet])
    tell, found = Telling.of(raw), []
    for sign in (-1.0, 1.0):
        for first, length in runs(_odd_days(off, total[wet], sign)):
            slips = {n: f for n, f in WATER_SLIPS.items() if np.log(f) * sign > 0}
            a, b = _best(sign * off - WATER_OFF / 2, first, first + length, WET_DAYS)
            likely = _nearest(float(np.median(off[a:b])), slips)
            inside = np.flatnonzero((_days(one) >= day[wet[a]]) & (_days(one) <= day[wet[b - 1]]))
            found.append(_row(tell, one, int(inside[0]), int(inside[-1]), likely, slips[likely]))
    return rows(found)


def wind_slips(raw: xr.Dataset) -> pd.DataFrame:
    """Stretches of wind in km/h, mph or knots taken for m/s: bad, with the likely unit.

    Four days whose median is far above that of the season and whose upper quarter lies above nearly all other
    hours of the record, as no storm's does.

    Args:
        raw (time): hourly.
    Reference: judged.
    """
    one = series(raw, "wind_speed")
    if one is None or one.daily or len(one.known) < FEWEST_WIND:
        return rows()
    tell, found = Telling.of(raw), []
    relative = one.values / np.maximum(_season_median(one), LEAST_WIND)
    rolling = pd.Series(relative).rolling(WIND_HOURS, min_periods=WIND_HOURS // 2)
    with np.errstate(invalid="ignore"):
        high = rolling.median().to_numpy(np.float64) >= WIND_FACTOR
    for first, length in runs(_reaching_back(high, WIND_HOURS)):
        gain = np.nan_to_num(np.log(np.maximum(relative, 0.1)) - np.log(WIND_FACTOR) / 1.5)
        a, b = _best(np.clip(gain, -1.0, 1.0), first, first + length, WIND_HOURS)
        others = np.concatenate([one.values[:a], one.values[b:]])
        if np.nanquantile(one.values[a:b], 0.75) <= np.nanquantile(others, WIND_TOP):
            continue
        likely = _nearest(float(np.log(np.nanmedian(relative[a:b]))), WIND_SLIPS)
        found.append(_row(tell, one, a, b - 1, likely, WIND_SLIPS[likely]))
    return rows(found)


def _days(one: Series) -> NDArray[np.int64]:
    return one.times.astype("datetime64[D]").astype(np.int64)


def _day_sums(one: Series) -> tuple[NDArray[np.int64], Array]:
    """Days (UTC, of an hourly record) and their sums; a day's missing hours count as none."""
    days = _days(one)
    total = np.bincount(days - days[0], np.nan_to_num(one.values))
    return np.arange(len(total)) + days[0], total


def _off_season(logs: Array, day: NDArray[np.int64]) -> Array:
    """Logarithm of each amount less the median of its month of the year and both beside it."""
    month = day.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) % 12
    off = np.empty(len(logs))
    for m in np.unique(month):
        near = np.isin(month, ((m - 1) % 12, m, (m + 1) % 12))
        off[month == m] = logs[month == m] - np.median(logs[near])
    return off


def _odd_days(off: Array, total: Array, sign: float) -> Flags:
    """Wet days that lie in ten of which the middle is too small (sign -1) or too large, and many odd."""
    middle = pd.Series(off).rolling(WET_DAYS).median().to_numpy(np.float64)
    with np.errstate(invalid="ignore"):
        candidate = sign * middle >= WATER_OFF
    others = total[~_reaching_back(candidate, WET_DAYS)]
    if not len(others):
        return np.zeros(len(off), dtype=bool)
    small, large = np.quantile(others, [SMALL, LARGE])
    beyond = total < small - DIGITS if sign < 0 else total > large + DIGITS
    odd = pd.Series(beyond.astype(np.float64)).rolling(WET_DAYS).mean().to_numpy(np.float64)
    least = pd.Series(total).rolling(WET_DAYS).min().to_numpy(np.float64)
    with np.errstate(invalid="ignore"):
        ends = candidate & (odd >= ODD_SHARE)
        if sign > 0:
            ends &= least >= LEAST_FACTOR * small
    return _reaching_back(ends, WET_DAYS)


def _season_median(one: Series) -> Array:
    """Median wind of each calendar month and both beside it, over all years (time)."""
    month = one.times.astype("datetime64[M]").astype(np.int64) % 12
    level = np.zeros(12)
    for m in np.unique(month):
        near = np.isin(month, ((m - 1) % 12, m, (m + 1) % 12))
        level[m] = np.nanmedian(one.values[near]) if np.isfinite(one.values[near]).any() else 0.0
    return level[month]


def _reaching_back(ends: Flags, width: int) -> Flags:
    """The steps of all windows of a width that end where `ends` holds."""
    flag = np.zeros(len(ends), dtype=bool)
    for first, length in runs(ends):
        flag[max(first - width + 1, 0) : first + length] = True
    return flag


def _best(gain: Array, first: int, last: int, reach: int) -> tuple[int, int]:
    """Begin and past-the-end of the stretch of largest sum, within `reach` steps about a first guess."""
    low, high = max(first - reach, 0), min(last + reach, len(gain))
    total = np.concatenate([[0.0], np.cumsum(gain[low:high])])
    rise = total - np.minimum.accumulate(total)
    end = int(np.argmax(rise))
    begin = int(np.argmin(total[: end + 1]))
    return low + begin, low + max(end, begin + 1)


def _nearest(off: float, slips: Mapping[str, float]) -> str:
    return min(slips, key=lambda name: abs(np.log(slips[name]) - off))


def _row(tell: Telling, one: Series, first: int, last: int, likely: str, factor: float) -> Found:
    value = float(np.nanmax(one.values[first : last + 1]))
    true = value / factor
    what = "wind" if one.name == "wind_speed" else "precipitation"
    text = (
        f"{what} looks like {likely}: {tell.value(one.name, value)} would be {tell.value(one.name, true)}; "
        "left out"
    )
    until = one.until(last)
    move = f"give these rows in the unit of the rest of the file (station.columns.{one.name})"
    words = tell.sentence(one.times[first], until, text, move)
    return Found(one.name, one.times[first], until, value, true, "bad", "unit_slip", words)
