"""Sun, cloud and longwave made whole."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.gaps import runs
from winterrisk.weather.hours import Hours
from winterrisk.weather.humidity import relative_humidity
from winterrisk.weather.longwave import DAY_STARTS, cloud_of_day, longwave_down
from winterrisk.weather.solar import (
    LARGEST_CLEARNESS,
    clear_sky,
    day_from_range,
    hours_of_day_sum,
    under_cloud,
)
from winterrisk.weather.sun_position import solar_days, sun_position
from winterrisk.weather.variables import FILLED

Array = NDArray[np.float64]

CLEARNESS_GAP: Final = 24
"""Longest gap over which the share of the clear-sky radiation is drawn in a straight line [h] (judged)."""
ENOUGH_SUN: Final = 20.0
"""Clear-sky radiation from which a measured share of it means something [W m-2] (judged)."""
SUN_ATTRS: Final = {
    "sun_elevation": {"units": "degree", "long_name": "apparent elevation of the sun, middle of the hour"},
    "sun_azimuth": {"units": "degree", "long_name": "azimuth of the sun from north, middle of the hour"},
    "shortwave_clear": {"units": "W m-2", "long_name": "sun and sky radiation under a clear sky"},
}


def fill_radiation(hours: Hours) -> dict[str, Array]:
    """Sun elevation and azimuth [degrees] and clear-sky shortwave [W m-2] (time); fills `hours`."""
    place = hours.place
    elevation, azimuth = sun_position(hours.times, place.latitude, place.longitude, place.elevation)
    clear = clear_sky(elevation, place.elevation)
    _fill_shortwave(hours, clear)
    _fill_cloud(hours, clear)
    given = hours.known("longwave_down")
    worked_out = longwave_down(
        hours.values["air_temperature"], hours.values["dew_point"], hours.values["cloud_cover"]
    )
    hours.put("longwave_down", np.where(np.isfinite(given), given, worked_out))
    return {"sun_elevation": elevation, "sun_azimuth": azimuth, "shortwave_clear": clear}


def _fill_shortwave(hours: Hours, clear: Array) -> None:
    sun = np.maximum(hours.known("shortwave_down"), 0.0)
    missing = ~np.isfinite(sun)
    if missing.any() and not missing.all():
        shares = np.isfinite(sun) & (clear > ENOUGH_SUN)
        if shares.any():
            at = np.arange(len(sun))
            share = np.clip(
                np.interp(at, at[shares], (sun / np.maximum(clear, 1.0))[shares]), 0, LARGEST_CLEARNESS
            )
            for first, length in runs(missing):
                if length <= CLEARNESS_GAP:
                    gap = slice(first, first + length)
                    sun[gap] = share[gap] * clear[gap]
    cloud = hours.known("cloud_cover")
    sun = np.where(np.isfinite(sun), sun, under_cloud(clear, cloud))
    if not np.isfinite(sun).all():
        sun = np.where(np.isfinite(sun), sun, _from_range(hours, clear))
    hours.put("shortwave_down", sun)


def _from_range(hours: Hours, clear: Array) -> Array:
    days = solar_days(hours.times, hours.place.longitude)
    begins = np.flatnonzero(np.diff(days, prepend=days[0] - 1))
    t = hours.values["air_temperature"]
    span = np.maximum.reduceat(t, begins) - np.minimum.reduceat(t, begins)
    clear_day = np.add.reduceat(clear, begins) / np.diff(begins, append=len(days))
    water = np.add.reduceat(hours.values["precipitation"], begins)
    day_mean = day_from_range(span, clear_day, water, near_water=hours.place.near_water)
    return hours_of_day_sum(day_mean, clear, days)


def _fill_cloud(hours: Hours, clear: Array) -> None:
    given = hours.known("cloud_cover")
    days = solar_days(hours.times, hours.place.longitude, DAY_STARTS)
    humidity = relative_humidity(hours.values["air_temperature"], hours.values["dew_point"])
    derived = cloud_of_day(hours.values["shortwave_down"], clear, humidity, days)
    origin = hours.origin.get("cloud_cover", np.full(len(given), FILLED, dtype=np.int8))
    hours.put("cloud_cover", np.where(np.isfinite(given), given, derived), origin)
