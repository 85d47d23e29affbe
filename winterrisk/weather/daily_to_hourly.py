"""A daily record as hours: temperature through each day, rain in a block of hours, wind with its daily
course."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course.calendar import local_days
from winterrisk.science.keyed import KeyPart, uniform_by_hour
from winterrisk.weather.day_ends import day_ends_of, temperature_of_readings
from winterrisk.weather.half_cosines import temperature_by_hour, with_both_extremes
from winterrisk.weather.humidity import (
    between_middays,
    dew_point_in_rain,
    dew_point_of_extremes,
    dew_point_of_humidity,
)
from winterrisk.weather.local_days import HOUR, MIDNIGHT, LocalDays, hours_of_days
from winterrisk.weather.place import Place
from winterrisk.weather.solar import clear_sky, hours_of_day_sum
from winterrisk.weather.sun_position import solar_hours, sun_position
from winterrisk.weather.variables import FILLED, MEASURED, VARIABLES
from winterrisk.weather.wind import through_the_day

Array = NDArray[np.float64]

WET_HOURS, WET_HOURS_POWER = 4.2, 0.4
"""Hours of precipitation on a winter day of 1 kg m-2 [h], and how they grow with the amount: an alpine winter had
3 h on days of 0.6 kg m-2, 5 h of 1.8, 12 h of 13 and 15 h of 28."""
HOURS_OF_RAIN: Final = "hours of rain"
"""Purpose in the key of the hour at which a day's rain begins."""
HELD_THROUGH_DAY: Final = (
    "surface_pressure",
    "longwave_down",
    "snow_fraction",
    "snow_depth",
    "cloud_cover",
    "diffuse_fraction",
)
"""Daily values that stand for every hour of their day."""


def daily_to_hourly(raw: xr.Dataset, place: Place, key: tuple[KeyPart, ...]) -> xr.Dataset:
    """The hours (time) of a daily record, NaN on days that are missing, with origins of what is derived.

    A day ends at midnight, or at the clock hour in the attribute day_ends: then its water fell, and its wind
    blew, from that hour of the day before to that hour of its date.

    Args:
        raw (time = local day): as `read_station(step="daily")` gives it; place; key: for the hours of the
            rain.
    """
    ends, timezone = day_ends_of(raw), raw.attrs.get("timezone", place.timezone)
    hours = hours_of_days(raw["time"].to_numpy(), timezone, ends)
    day, solar = hours.day_of_hour, solar_hours(hours.times, place.longitude)
    low, high, no_low, no_high = with_both_extremes(
        _column(raw, "air_temperature_min"),
        _column(raw, "air_temperature_max"),
        raw["time"].dt.month.to_numpy(),
    )
    guessed = (no_low | no_high)[day]
    data: dict[str, Array] = {}
    origin: dict[str, NDArray[np.int8]] = {}
    if ends == MIDNIGHT:
        warmth = temperature_by_hour(low, high, hours, place.latitude, place.longitude)
    else:
        warmth, leans = temperature_of_readings(low, high, hours, place, timezone, ends)
        guessed |= leans
    data["air_temperature"] = warmth
    origin["air_temperature"] = np.where(guessed, FILLED, MEASURED).astype(np.int8)
    dew, derived = _daily_dew_point(raw, low, high)
    total = _column(raw, "precipitation")
    data["precipitation"] = spread_over_hours(total, hours, (*key, HOURS_OF_RAIN))
    hourly_dew = between_middays(dew, day, 24.0 * day + _hour_of_day(hours))
    in_rain = dew_point_in_rain(hourly_dew, data["air_temperature"], data["precipitation"])
    hourly_dew = np.where(derived[day], in_rain, hourly_dew)
    data["dew_point"] = np.where(np.isfinite(low + high)[day], hourly_dew, np.nan)
    origin["dew_point"] = np.where(derived, FILLED, MEASURED).astype(np.int8)[day]
    if "wind_speed" in raw:
        data["wind_speed"] = through_the_day(_column(raw, "wind_speed")[day], solar)
    if "shortwave_down" in raw:
        sun, _ = sun_position(hours.times, place.latitude, place.longitude, place.elevation)
        clear = clear_sky(sun, place.elevation)
        data["shortwave_down"] = hours_of_day_sum(_column(raw, "shortwave_down"), clear, day)
    for name in HELD_THROUGH_DAY:
        if name in raw:
            data[name] = _column(raw, name)[day]
    if "freezing_rain" in raw:
        share = np.where(total > 0, _column(raw, "freezing_rain") / np.where(total > 0, total, 1.0), 0.0)
        data["freezing_rain"] = np.clip(share, 0.0, 1.0)[day] * data["precipitation"]
    out = xr.Dataset(
        {n: ("time", v, VARIABLES[n].attrs) for n, v in data.items()},
        coords={"time": hours.times},
        attrs={**raw.attrs, "step": "hourly", "station_step": "daily"},
    )
    return out.assign({f"{n}_origin": ("time", v) for n, v in origin.items()})


def spread_over_hours(total: Array, hours: LocalDays, key: tuple[KeyPart, ...]) -> Array:
    """Precipitation (time) [kg m-2] of days put in one block of hours each, at a keyed time of the day.

    A block lasts longer the more falls, about 4 h for 1 mm and 11 h for 10 mm, at most the whole day.

    Args:
        total (day) [kg m-2]: NaN where missing; hours; key: the same day always gets the same hour.
    """
    day_number = hours.days.astype("datetime64[D]").astype(np.int64)
    uniform = uniform_by_hour(key, day_number)
    needed = np.rint(WET_HOURS * np.nan_to_num(total) ** WET_HOURS_POWER).astype(np.int64)
    block = np.clip(needed, 1, hours.length)
    start = np.floor(uniform * (hours.length - block + 1)).astype(np.int64)
    day = hours.day_of_hour
    into = np.arange(len(day)) - hours.first[day]
    wet = (into >= start[day]) & (into < (start + block)[day])
    amount = np.where(wet, (total / block)[day], 0.0)
    return np.where(np.isfinite(total)[day], amount, np.nan)


def other_hours_of_rain(
    precipitation: Array,
    times: NDArray[np.datetime64],
    timezone: str,
    key: tuple[KeyPart, ...],
    ends: int = MIDNIGHT,
) -> Array:
    """The same daily precipitation (time) [kg m-2] at other hours of its local days.

    Args:
        precipitation (time), times (time): hours of a record that was daily; days cut off at an end stay.
        key: the same day always gets the same hour; ends [h]: clock hour at which a day of readings ends.
    """
    after = np.timedelta64(MIDNIGHT - ends, "h")
    local = local_days(times + after, timezone)
    days, begins, counts = np.unique(local, return_index=True, return_counts=True)
    hours = hours_of_days(days.astype("datetime64[ns]"), timezone, ends)
    total = np.add.reduceat(precipitation, begins)
    whole = counts == hours.length
    first = int((times[begins[0]] - hours.times[0]) / HOUR)
    anew = spread_over_hours(total, hours, key)[first : first + len(times)]
    return np.where(np.repeat(whole, counts), anew, precipitation)


def _hour_of_day(hours: LocalDays) -> Array:
    day = hours.day_of_hour
    return (np.arange(len(day)) - hours.first[day] + 0.5) * 24.0 / hours.length[day]


def _column(raw: xr.Dataset, name: str) -> Array:
    return np.asarray(raw[name].to_numpy(), dtype=np.float64)


def _daily_dew_point(raw: xr.Dataset, low: Array, high: Array) -> tuple[Array, NDArray[np.bool_]]:
    dew = _column(raw, "dew_point").copy() if "dew_point" in raw else np.full(len(low), np.nan)
    if "relative_humidity" in raw:
        humid = dew_point_of_humidity((low + high) / 2.0, _column(raw, "relative_humidity"))
        dew = np.where(np.isfinite(dew), dew, humid)
    derived = ~np.isfinite(dew)
    return np.where(derived, dew_point_of_extremes(low, high, _column(raw, "precipitation")), dew), derived
