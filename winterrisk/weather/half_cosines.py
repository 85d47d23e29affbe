"""A day's temperature hour by hour from its lowest and highest."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.weather.extraterrestrial import sunset_angle
from winterrisk.weather.fronts import Fronts
from winterrisk.weather.local_days import HOUR, MIDNIGHT, LocalDays
from winterrisk.weather.usual import day_and_hour

Array = NDArray[np.float64]

AFTER_NOON: Final = 2.5
"""Warmest hour after solar noon [h] (from memory: 2 to 3)."""
NOON: Final = 12
"""Latest clock hour of a morning observer [h]: the highest read by then is that of the afternoon before (common
practice)."""
PASSES: Final = 2
"""A midnight without an extreme follows the sunrise and afternoon that were drawn to it, and they it."""
EARLIEST, LATEST = 4.0, 9.0
"""Least and most time from sunrise to solar noon for the coldest hour [h]: in polar night and midnight sun
the sunrise says nothing (judged)."""


def half_cosine(
    hour: ArrayLike, from_hour: ArrayLike, from_value: ArrayLike, to_hour: ArrayLike, to_value: ArrayLike
) -> Array:
    """Value at `hour` on the half cosine from one extreme to the next, flat at both."""
    h, h0, h1 = (np.asarray(x, dtype=np.float64) for x in (hour, from_hour, to_hour))
    v0, v1 = np.asarray(from_value, dtype=np.float64), np.asarray(to_value, dtype=np.float64)
    way = np.clip((h - h0) / np.maximum(h1 - h0, 1e-9), 0.0, 1.0)
    return v0 + (v1 - v0) * (1.0 - np.cos(np.pi * way)) / 2.0


def with_both_extremes(
    low: Array, high: Array, month: NDArray[np.int64]
) -> tuple[Array, Array, NDArray[np.bool_], NDArray[np.bool_]]:
    """Low and high (day) [degC], one that is missing put the record's usual range of that month away, and
    which lows and highs were.

    A low above its high tells nothing: both count as missing, and a day without either stays missing.

    Args:
        low, high (day) [degC]: NaN where missing; month (day): any number that tells months apart.
    """
    contradict = low > high
    low, high = np.where(contradict, np.nan, low), np.where(contradict, np.nan, high)
    span = np.full(len(low), np.nan)
    for m in np.unique(month):
        inside = month == m
        if np.isfinite((high - low)[inside]).any():
            span[inside] = np.nanmedian((high - low)[inside])
    has_low, has_high = np.isfinite(low), np.isfinite(high)
    filled_low = np.where(has_low, low, high - span)
    return filled_low, np.where(has_high, high, low + span), has_high & ~has_low, has_low & ~has_high


def extreme_hours(
    hours: LocalDays, latitude: float, longitude: float, ends: int = MIDNIGHT
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Index of the coldest (sunrise) and warmest hour of each day on its axis of hours (day).

    Args:
        ends [h]: clock hour at which a thermometer is read: no extreme that it shows comes later that day.
    """
    noon = (hours.days.astype("datetime64[h]") - hours.times[0]) / HOUR + 12.0 - longitude / 15.0
    of_year, _ = day_and_hour(hours.days)
    before_noon = np.clip(sunset_angle(latitude, of_year + 1) * 12.0 / np.pi, EARLIEST, LATEST)
    last = hours.first + hours.length - 1
    coldest = np.clip(np.floor(noon - before_noon).astype(np.int64), hours.first, last - 1)
    warmest = np.clip(np.floor(noon + AFTER_NOON).astype(np.int64), coldest + 1, last)
    read = hours.first + ends - 1
    if ends <= NOON:
        coldest = np.minimum(coldest, read)
    elif ends < MIDNIGHT:
        warmest = np.minimum(warmest, read)
    return coldest, warmest


def temperature_by_hour(
    low: Array, high: Array, hours: LocalDays, latitude: float, longitude: float, ends: int = MIDNIGHT
) -> Array:
    """Air temperature (time) [degC]: half cosines from low to high to next low, exact at both, within each
    day's two.

    Where a front makes the curve leave the range of a day before midnight, it turns at midnight instead. A low or
    high that the curve then reaches at a midnight was that midnight's: it says nothing of the sunrise or the
    afternoon, which lie nearer to the other midnight. A front that passes between midnights is not seen. Where days
    are read at another hour, the curve turns at the extremes alone and the caller keeps it within the range of each
    reading.

    Args:
        low, high (day) [degC]: of the local day, NaN where missing; a day without either stays missing.
        hours: the hours of those days; ends [h]: clock hour of the reading, 24 = midnight.
    Reference: common practice (piecewise cosines); from memory.
    """
    coldest, warmest = extreme_hours(hours, latitude, longitude, ends)
    known = np.isfinite(low) & np.isfinite(high)
    low, high = np.where(known, low, np.nan), np.where(known, high, np.nan)
    next_cold = np.append(coldest[1:], coldest[-1] + 24)
    midnight = hours.first + hours.length - 0.5
    floor, ceiling = np.fmax(low, _next(low)), np.fmin(high, _next(high))

    def at_midnight(sunrise: Array, afternoon: Array) -> tuple[Array, NDArray[np.bool_]]:
        meets = half_cosine(midnight, warmest, afternoon, next_cold, _next(sunrise))
        within = np.clip(meets, floor, np.fmax(floor, ceiling))
        turn = np.where(floor <= ceiling, within, (floor + ceiling) / 2.0)
        return turn, (np.abs(turn - meets) > 1e-9) & (ends == MIDNIGHT)

    turn, turns = at_midnight(low, high)
    sunrise, afternoon = low, high
    if ends == MIDNIGHT:
        fronts = Fronts.of(low, high, turn)
        for _ in range(PASSES):
            sunrise, afternoon = fronts.extremes(low, high, turn)
            later, turns = at_midnight(sunrise, afternoon)
            turn = np.where(fronts.at_end, turn, later)
        turns |= fronts.at_end

    day = hours.day_of_hour
    at = np.arange(len(hours.times), dtype=np.float64)
    evening_to = np.where(turns, midnight, next_cold)
    evening_value = np.where(turns, turn, _next(sunrise))
    evening = half_cosine(at, warmest[day], afternoon[day], evening_to[day], evening_value[day])
    before = np.maximum(day - 1, 0)
    unlinked = (day == 0) | ~known[before]
    turned = turns[before] & ~unlinked
    from_hour = np.where(turned, midnight[before], np.where(unlinked, warmest[day] - 24, warmest[before]))
    from_value = np.where(turned, turn[before], np.where(unlinked, afternoon[day], afternoon[before]))
    morning = half_cosine(at, from_hour, from_value, coldest[day], sunrise[day])
    midday = half_cosine(at, coldest[day], sunrise[day], warmest[day], afternoon[day])
    curve = np.where(at < coldest[day], morning, np.where(at <= warmest[day], midday, evening))
    if ends != MIDNIGHT:
        return curve
    fronts.reach(curve, low, high, hours)
    return np.clip(curve, low[day], high[day])


def _next(values: Array) -> Array:
    return _else(np.append(values[1:], np.nan), values)


def _else(values: Array, other: Array) -> Array:
    return np.where(np.isfinite(values), values, other)
