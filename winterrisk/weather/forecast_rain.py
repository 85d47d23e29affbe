"""Rain and snow of a forecast as they may come: earlier or later, more or less, not at all or unannounced."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from winterrisk.science.keyed import KeyPart
from winterrisk.weather.forecast_errors import ForecastErrors, error_courses, normal_course
from winterrisk.weather.other_winters import lending_shifts
from winterrisk.weather.record import Record

Array = NDArray[np.float64]
Hours = NDArray[np.int64]
Key = tuple[KeyPart, ...]

WET_HOURS: Final = 0.08
"""Share of hours with precipitation where no record tells [1] (judged: cold inland winters)."""
HOURLY_AMOUNT: Final = 0.8
"""Mean precipitation of a wet hour where no record tells [kg m-2] (judged)."""
SPELL_MEMORY: Final = 4.0
"""Time scale of such rain and snow [h] (judged: spells of some hours)."""
CHANCE_OF_HOUR: Final = 0.4
"""Chance of precipitation in an hour for each unit of chance in its period of 6 to 12 h [1] (judged)."""


@dataclass(frozen=True)
class RainPaths:
    """Precipitation (hour, member) [kg m-2] and whether an hour's is other weather than the forecast's."""

    amount: Array
    other: NDArray[np.bool_]


def rain_paths(
    forecast: Array,
    chance: Array | None,
    elsewhere: Array | None,
    lead: Array,
    hours: Hours,
    *,
    errors: ForecastErrors,
    key: Key,
) -> RainPaths:
    """Precipitation in each path, from what is forecast and from weather without a forecast.

    In a share of the hours that grows with lead time, in spells, a path has other weather of the season
    instead: so it misses announced rain and gets unannounced. Elsewhere the forecast comes some hours earlier
    or later with amounts off by a lognormal factor of mean 1. Hours without an amount are other weather too,
    wet as often as the forecast's chance says where it gives one.

    Args:
        forecast (hour, member) [kg m-2]: NaN where not given; chance (hour, member) [1] or None.
        elsewhere (hour, member) [kg m-2]: other weather of the season; None: made from usual shares.
        lead (hour) [h]; hours (hour): since 1970.
    """
    count = forecast.shape[1]
    other = _other_weather(lead, hours, count, errors, key) | ~np.isfinite(forecast)
    moved = np.rint(error_courses("timing", lead, hours, errors.timing, members=count, key=key)).astype(
        np.int64
    )
    source = np.clip(np.arange(len(hours))[:, None] - moved, 0, len(hours) - 1)
    there = np.take_along_axis(forecast, source, axis=0)
    there = np.where(np.isfinite(there), there, forecast)
    off = error_courses("amount", lead, hours, errors.amount, members=count, key=key)
    factor = np.exp(off - errors.amount.at(lead)[:, None] ** 2 / 2.0)
    made = _made(hours, count, chance, key)
    instead = made if elsewhere is None else elsewhere
    if chance is not None:
        told = ~np.isfinite(forecast) & np.isfinite(chance)
        instead = np.where(told, made, instead)
    amount = np.where(other, instead, np.nan_to_num(there) * factor)
    return RainPaths(amount, other)


def _other_weather(
    lead: Array, hours: Hours, count: int, errors: ForecastErrors, key: Key
) -> NDArray[np.bool_]:
    share = errors.other_weather.at(lead)
    if not share.any():
        return np.zeros((len(hours), count), dtype=bool)
    courses = [normal_course((*key, "forecast error", "other weather", p), hours) for p in range(count)]
    return ndtr(np.stack(courses, axis=1)) < share[:, None]


def _made(hours: Hours, count: int, chance: Array | None, key: Key) -> Array:
    courses = [
        normal_course((*key, "forecast error", "made rain", p), hours, SPELL_MEMORY) for p in range(count)
    ]
    place = ndtr(np.stack(courses, axis=1))
    wet = np.full(place.shape, WET_HOURS)
    if chance is not None:
        wet = np.where(np.isfinite(chance), CHANCE_OF_HOUR * chance, wet)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(place < wet, -HOURLY_AMOUNT * np.log(place / wet), 0.0)


def rain_elsewhere(
    record: Record, begin: np.datetime64, length: int, *, members: int, key: Key
) -> Array | None:
    """Measured precipitation (hour, member) [kg m-2] of the same dates in other years; None where there is none.

    Which years hangs on the key, not on the night.

    Args:
        record: up to the last known hour; begin: UTC hour of the first; length [h].
    """
    first = record.at(begin)
    shifts = lending_shifts(
        record.measured("precipitation"), first, length, key=(*key, "rain elsewhere"), count=members
    )
    if not shifts:
        return None
    water = record.values["precipitation"]
    return np.stack([water[first + s : first + s + length] for s in shifts], axis=1)
