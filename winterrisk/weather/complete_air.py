"""Temperature, water, humidity, wind and pressure made whole, in that order."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.air import pressure_at_height
from winterrisk.weather.bridge import ANOMALY_SPREAD
from winterrisk.weather.gaps import SHORT_WATER_GAP
from winterrisk.weather.hours import Hours
from winterrisk.weather.humidity import (
    between_middays,
    dew_point_in_rain,
    dew_point_of_extremes,
    dew_point_of_humidity,
)
from winterrisk.weather.pressure import at_station, is_sea_level
from winterrisk.weather.sun_position import solar_days, solar_hours
from winterrisk.weather.usual import usual
from winterrisk.weather.variables import FILLED, MEASURED
from winterrisk.weather.wind import USUAL_WIND, through_the_day

Array = NDArray[np.float64]

LEAST_WIND: Final = 0.1
"""Least wind that a filled hour gets [m s-1] (judged)."""
SEA_LEVEL_NOTE: Final = "the file's pressure is reduced to sea level; turned back to the station's height"


def fill_temperature(hours: Hours) -> Array:
    """Standard deviation (time) [K] of the filled air temperature, 0 where measured; fills `hours`.

    A temperature that came with a spread keeps it, and a gap between such hours has theirs besides its own.
    """
    given = hours.known("air_temperature")
    expected = usual(hours.times, given, ANOMALY_SPREAD)
    base = expected.at(hours.times)
    fill = hours.without_gaps(given - base, expected.spread)
    known = np.isfinite(given)
    hours.put("air_temperature", np.where(known, given, base + fill.values))
    if hours.spread is None or not known.any():
        return fill.spread
    at = np.arange(len(given))
    return np.asarray(np.hypot(fill.spread, np.interp(at, at[known], hours.spread[known])))


def fill_dew_point(hours: Hours) -> None:
    """Dew point: measured, from measured humidity, from the depression round a gap, or from the day's extremes
    and rain; after precipitation."""
    t, dew = hours.values["air_temperature"], hours.known("dew_point")
    origin = hours.origin.get("dew_point", np.full(len(t), FILLED, dtype=np.int8))
    if "relative_humidity" in hours.values:
        humid = dew_point_of_humidity(t, hours.values["relative_humidity"])
        told = ~np.isfinite(dew) & np.isfinite(humid) & (hours.origin["air_temperature"] != FILLED)
        dew = np.where(told, humid, dew)
        origin = np.where(told, MEASURED, origin).astype(np.int8)
    if np.isfinite(dew).any():
        depression = t - dew
        expected = usual(hours.times, depression, ANOMALY_SPREAD)
        base = expected.at(hours.times)
        fill = hours.without_gaps(depression - base, expected.spread)
        dew = np.where(np.isfinite(dew), dew, t - np.maximum(base + fill.values, 0.0))
    else:
        dew = _from_extremes(t, hours)
    hours.put("dew_point", np.minimum(dew, t), origin)


def _from_extremes(t: Array, hours: Hours) -> Array:
    days = solar_days(hours.times, hours.place.longitude)
    begins = np.flatnonzero(np.diff(days, prepend=days[0] - 1))
    water = hours.values["precipitation"]
    daily = dew_point_of_extremes(
        np.minimum.reduceat(t, begins), np.maximum.reduceat(t, begins), np.add.reduceat(water, begins)
    )
    dew = between_middays(daily, days, solar_hours(hours.times, hours.place.longitude))
    return dew_point_in_rain(dew, t, water)


def fill_wind(hours: Hours) -> None:
    """Wind speed [m s-1]: bridged or borrowed; the usual 4.5 m/s with its daily course where none is
    measured."""
    given = hours.known("wind_speed")
    if not np.isfinite(given).any():
        hours.put("wind_speed", through_the_day(USUAL_WIND, solar_hours(hours.times, hours.place.longitude)))
        return
    expected = usual(hours.times, given, 1.0)
    base = expected.at(hours.times)
    fill = hours.without_gaps(given - base, expected.spread)
    hours.put("wind_speed", np.where(np.isfinite(given), given, np.maximum(base + fill.values, LEAST_WIND)))


def fill_precipitation(hours: Hours) -> None:
    """Precipitation [kg m-2]: a straight line over 3 h, another year's hours beyond."""
    fill = hours.without_gaps(hours.known("precipitation"), 0.0, short=SHORT_WATER_GAP, joined=False)
    hours.put("precipitation", np.maximum(fill.values, 0.0))
    if "freezing_rain" in hours.values:
        hours.put("freezing_rain", np.nan_to_num(hours.values["freezing_rain"]))


def fill_pressure(hours: Hours) -> dict[str, str]:
    """A note for the attributes where the file's pressure was at sea level; fills `hours` [hPa]."""
    given = hours.known("surface_pressure")
    height = hours.place.elevation
    at_sea = is_sea_level(given, height)
    if at_sea:
        given = at_station(given, height)
    mean = float(np.nanmean(given)) if np.isfinite(given).any() else float(pressure_at_height(height))
    hours.put("surface_pressure", mean + hours.without_gaps(given - mean, 0.0).values)
    return {"surface_pressure_note": SEA_LEVEL_NOTE} if at_sea else {}
