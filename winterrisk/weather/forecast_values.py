"""A forecast's hours from the last measured one on, every quantity that paths need, nothing missing."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.science.keyed import hours_since_1970
from winterrisk.weather.forecast import AGE_NAME, CHANCE, HOUR, at_height, lead_hours, without_tail
from winterrisk.weather.humidity import relative_humidity
from winterrisk.weather.longwave import DAY_STARTS, cloud_from_humidity
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.sun_position import solar_days

Array = NDArray[np.float64]

REACH: Final = 6
"""Hours between the last measured hour and the forecast that the day before can lend [h] (judged)."""
LOOK_BACK: Final = 30 * 24
"""Last hours whose mean course of the day stands in for what a forecast does not give [h] (judged)."""
LEAST_DEPRESSION: Final = 0.05
"""Least difference between air temperature and dew point whose logarithm is taken [K] (judged)."""


@dataclass(frozen=True)
class ForecastValues:
    """Values (hour, member) by variable; the first hour is the last measured one, where errors are known.

    depression [K]: air temperature less dew point. chance: of precipitation, or None. lead (hour) [h].
    """

    times: NDArray[np.datetime64]
    hours: NDArray[np.int64]
    lead: Array
    temperature: Array
    depression: Array
    wind: Array
    cloud: Array
    pressure: Array
    water: Array
    freezing: Array | None
    chance: Array | None


def forecast_values(forecast: xr.Dataset, measured: xr.Dataset) -> ForecastValues:
    """The forecast's hours from the last measured one on, at the height of the measured record.

    Args:
        forecast (time[, member]): in the common shape; measured (time): as `complete` gives it.
    Raises:
        WeatherError: it does not reach beyond the last measured hour, or begins more than 6 h after it.
    """
    last = measured["time"].to_numpy()[-1]
    whole = at_height(without_tail(forecast), float(measured.attrs["elevation"]))
    times = whole["time"].to_numpy()
    source = str(forecast.attrs.get("source", "forecast"))
    late = int((times[0] - last) / HOUR)
    if times[-1] <= last:
        raise WeatherError(
            Fault(source, f"a forecast that ends {str(times[-1])[:13]}", "hours ahead", "fetch a newer one")
        )
    if late > REACH:
        found = f"a forecast that begins {late} h after the last measured hour"
        raise WeatherError(
            Fault(source, found, f"at most {REACH} h", "bring the station's record up to date")
        )
    if late > 0:
        whole = _reaching_back(whole, measured, late)
    whole = whole.sel(time=slice(last, None))
    if "member" not in whole.dims:
        whole = whole.expand_dims("member", axis=-1)
    return _values(whole, measured)


def _reaching_back(whole: xr.Dataset, measured: xr.Dataset, late: int) -> xr.Dataset:
    """The first hour held for the hours before it; its temperature with the changes of the day before."""
    times = whole["time"].to_numpy()[0] - np.arange(late, 0, -1) * HOUR
    first = whole.isel(time=slice(0, 1))
    held = xr.concat([first] * late, "time", coords="minimal", compat="override").assign_coords(time=times)
    if AGE_NAME in whole.coords:
        held = held.assign_coords({AGE_NAME: ("time", np.repeat(first[AGE_NAME].to_numpy(), late))})
    day = measured["air_temperature"].to_numpy()[-24:]
    if len(day) == 24 and late < 24:
        change = day[:late] - day[late]
        column = held["air_temperature"]
        held["air_temperature"] = column + xr.DataArray(change, dims="time", coords={"time": times})
    return xr.concat([held, whole], "time", combine_attrs="override", coords="minimal", compat="override")


def _values(whole: xr.Dataset, measured: xr.Dataset) -> ForecastValues:
    times = whole["time"].to_numpy()
    temperature = _column(whole, "air_temperature")

    def given(name: str) -> Array:
        return _column(whole, name) if name in whole else np.full(temperature.shape, np.nan)

    depression = temperature - given("dew_point")
    usual = _mean_day(_known(measured, "air_temperature") - _known(measured, "dew_point"), measured, times)
    depression = np.where(np.isfinite(depression), depression, usual[:, None])
    depression = np.maximum(depression, LEAST_DEPRESSION)
    wind = given("wind_speed")
    wind = np.where(
        np.isfinite(wind), wind, _mean_day(_known(measured, "wind_speed"), measured, times)[:, None]
    )
    cloud = given("cloud_cover")
    if not np.isfinite(cloud).all():
        days = solar_days(times, float(measured.attrs["longitude"]), DAY_STARTS)
        humid = relative_humidity(temperature, temperature - depression)
        humid = np.stack([cloud_from_humidity(one, days) for one in humid.T], axis=1)
        cloud = np.where(np.isfinite(cloud), cloud, humid)
    freezing = np.nan_to_num(given("freezing_rain")) if "freezing_rain" in whole else None
    return ForecastValues(
        times=times,
        hours=hours_since_1970(times),
        lead=lead_hours(whole),
        temperature=temperature,
        depression=depression,
        wind=np.maximum(wind, 0.0),
        cloud=np.clip(cloud, 0.0, 1.0),
        pressure=_pressure(given("surface_pressure"), measured),
        water=given("precipitation"),
        freezing=freezing,
        chance=_column(whole, CHANCE) if CHANCE in whole else None,
    )


def _column(whole: xr.Dataset, name: str) -> Array:
    column = whole[name]
    if "member" not in column.dims:
        column = column.expand_dims(member=whole.sizes["member"], axis=-1)
    return np.array(column.transpose("time", "member").to_numpy(), dtype=np.float64)


def _known(measured: xr.Dataset, name: str) -> Array:
    return measured[name].to_numpy()[-LOOK_BACK:].astype(np.float64)


def _mean_day(values: Array, measured: xr.Dataset, times: NDArray[np.datetime64]) -> Array:
    """Mean of each UTC hour of the day over the last 30 days, at `times`."""
    of_day = hours_since_1970(measured["time"].to_numpy()[-len(values) :]) % 24
    total = np.bincount(of_day, weights=values, minlength=24)
    count = np.bincount(of_day, minlength=24)
    by_hour = np.where(count > 0, total / np.maximum(count, 1), values.mean())
    return by_hour[hours_since_1970(times) % 24]


def _pressure(given: Array, measured: xr.Dataset) -> Array:
    mean = float(_known(measured, "surface_pressure").mean())
    return np.where(np.isfinite(given), given, mean)
