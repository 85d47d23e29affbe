"""A forecast as several possible courses of the coming days, complete, ready for `possible`."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from winterrisk.science.keyed import KeyPart, generator
from winterrisk.weather.forecast_errors import (
    ERRORS,
    NO_ERRORS,
    ForecastErrors,
    error_courses,
    fading,
    joined_errors,
)
from winterrisk.weather.forecast_rain import RainPaths, rain_elsewhere, rain_paths
from winterrisk.weather.forecast_values import LEAST_DEPRESSION, ForecastValues, forecast_values
from winterrisk.weather.humidity import dew_point_in_rain, relative_humidity
from winterrisk.weather.longwave import longwave_down
from winterrisk.weather.possible import PATHS
from winterrisk.weather.record import record_of
from winterrisk.weather.solar import clear_sky, under_cloud
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.variables import VARIABLES

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

CLOUD_AND_WARMTH: Final = 0.3
"""Correlation of the errors of cloud and temperature: by night more cloud is warmer, by day colder [1]
(judged)."""
CLEAREST: Final = 0.03
"""Cloud cover from which its error is reckoned on the normal scale, and its distance from full [1] (judged)."""
CLOUD_IN_RAIN: Final = 0.9
"""Least cloud cover while unannounced rain or snow falls [1] (judged)."""
LARGEST_KNOWN: Final = 1.5
"""Largest error of the logarithm of the dew-point depression that is taken over at the join [1] (judged)."""
LARGEST_DEPRESSION: Final = 30.0
"""Largest difference between air temperature and dew point that an error may make [K] (judged: 10 % humidity)."""
WARMEST_FREEZING_RAIN: Final = 0.5
"""Air temperature up to which announced freezing rain still freezes in a path that is warmer than the forecast
[degC] (judged)."""


def forecast_paths(
    forecast: xr.Dataset,
    measured: xr.Dataset,
    *,
    members: int = PATHS,
    key: tuple[KeyPart, ...] | KeyPart,
    now: np.datetime64 | None = None,
    past: xr.Dataset | None = None,
    errors: ForecastErrors = ERRORS,
) -> xr.Dataset:
    """Weather (time, member) from the hour after the last measured one to the end of the forecast, complete.

    One deterministic forecast becomes paths by the error model: keyed errors of temperature, humidity, cloud,
    wind and of the time, amount and coming of rain and snow, growing with lead time. Phase, sun and longwave
    follow from them, so a warm path has rain where a cold one has snow. An ensemble gives its own members.
    Either way a path starts at the last measured temperature and humidity; the difference fades in about a day.

    Args:
        forecast (time[, member]): in the common shape (`forecast_dataset`), possibly joined (`latest`).
        measured (time): up to the last known hour, as `complete` gives it. past (time): the whole record,
            likewise: lends rain and snow of other years.
        key: the course's id, or a tuple that begins with it; the same every night of a winter.
        now: UTC, the night's instant: a forecast received later is refused.
    Returns:
        Dataset(time, member) with the required variables, cloud_cover and relative_humidity (freezing_rain
        where the source tells of it), attrs of the forecast.
    Raises:
        WeatherError: the forecast does not reach from the last measured hour into the days ahead.
        ValueError: it was received after `now`.
    """
    if now is not None and np.datetime64(str(forecast.attrs["received"])) > np.datetime64(now):
        raise ValueError(f"forecast received {forecast.attrs['received']}, expected by {now}")
    parts = key if isinstance(key, tuple) else (key,)
    given = forecast_values(forecast, measured)
    if "member" in forecast.dims:
        errors = NO_ERRORS
        chosen = generator(*parts, "forecast members").permutation(given.temperature.shape[1])
        pick = chosen[np.arange(members) % len(chosen)]
    else:
        pick = np.zeros(members, dtype=np.int64)
    return _dataset(given, pick, measured, past, errors, parts, forecast.attrs)


def _dataset(
    given: ForecastValues,
    pick: NDArray[np.int64],
    measured: xr.Dataset,
    past: xr.Dataset | None,
    errors: ForecastErrors,
    key: Key,
    attrs: dict,
) -> xr.Dataset:
    place = measured.attrs
    height, _ = sun_position(given.times, place["latitude"], place["longitude"], place["elevation"])
    clear = clear_sky(height, place["elevation"])[:, None]
    off = {
        name: error_courses(name, given.lead, given.hours, getattr(errors, name), members=len(pick), key=key)
        for name in ("temperature", "depression", "wind", "cloud")
    }
    rain = _rain(given, pick, measured, past, errors, key)
    air = _temperature(given, pick, measured, off["temperature"])
    dew = air - _depression(given, pick, measured, off["depression"])
    unannounced = (rain.amount > 0.0) & ~(given.water[:, pick] > 0.0)
    dew = np.where(unannounced, dew_point_in_rain(dew, air, rain.amount), dew)
    night = np.where(height > 0.0, -1.0, 1.0)[:, None]
    cloud = _cloud(given, pick, errors, off, night)
    cloud = np.where(unannounced, np.maximum(cloud, CLOUD_IN_RAIN), cloud)
    values = {
        "air_temperature": air,
        "dew_point": dew,
        "wind_speed": given.wind[:, pick] * np.exp(off["wind"]),
        "precipitation": rain.amount,
        "surface_pressure": _pressure(given, pick, measured),
        "shortwave_down": under_cloud(clear, cloud),
        "longwave_down": longwave_down(air, dew, cloud),
        "relative_humidity": relative_humidity(air, dew),
        "cloud_cover": cloud,
    }
    if given.freezing is not None:
        values["freezing_rain"] = _freezing(given, pick, rain, air)
    data = {n: (("time", "member"), v[1:], VARIABLES[n].attrs) for n, v in values.items()}
    coords = {"time": given.times[1:], "member": np.arange(len(pick))}
    return xr.Dataset(data, coords=coords, attrs=dict(attrs))


def _last(measured: xr.Dataset, name: str) -> float:
    return float(measured[name].to_numpy()[-1])


def _temperature(given: ForecastValues, pick: NDArray[np.int64], measured: xr.Dataset, off: Array) -> Array:
    source = given.temperature[:, pick]
    known = _last(measured, "air_temperature") - source[0]
    return source + joined_errors(off, known)


def _depression(given: ForecastValues, pick: NDArray[np.int64], measured: xr.Dataset, off: Array) -> Array:
    told = given.depression[:, pick]
    source = np.log(told)
    last = max(_last(measured, "air_temperature") - _last(measured, "dew_point"), LEAST_DEPRESSION)
    known = np.clip(np.log(last) - source[0], -LARGEST_KNOWN, LARGEST_KNOWN)
    found = np.exp(source + joined_errors(off, known))
    found = np.minimum(found, np.maximum(told, LARGEST_DEPRESSION))
    return np.where(found <= LEAST_DEPRESSION * 1.0001, 0.0, found)


def _cloud(
    given: ForecastValues,
    pick: NDArray[np.int64],
    errors: ForecastErrors,
    off: dict[str, Array],
    night: Array,
) -> Array:
    """Cloud cover with its error on the normal scale, partly that of the temperature; as given without one."""
    sizes = errors.temperature.at(given.lead)[:, None]
    cloud_sizes = errors.cloud.at(given.lead)[:, None]
    warmth = np.divide(off["temperature"], sizes, out=np.zeros_like(off["temperature"]), where=sizes > 0.0)
    own = np.sqrt(1.0 - CLOUD_AND_WARMTH**2) * off["cloud"]
    error = own + CLOUD_AND_WARMTH * night * cloud_sizes * warmth
    source = given.cloud[:, pick]
    inside = np.clip(source, CLEAREST, 1.0 - CLEAREST)
    return np.clip(source + ndtr(ndtri(inside) + error) - inside, 0.0, 1.0)


def _pressure(given: ForecastValues, pick: NDArray[np.int64], measured: xr.Dataset) -> Array:
    source = given.pressure[:, pick]
    known = _last(measured, "surface_pressure") - source[0]
    return source + fading(len(source))[:, None] * known


def _rain(
    given: ForecastValues,
    pick: NDArray[np.int64],
    measured: xr.Dataset,
    past: xr.Dataset | None,
    errors: ForecastErrors,
    key: Key,
) -> RainPaths:
    elsewhere = rain_elsewhere(
        record_of(measured, past), given.times[0], len(given.times), members=len(pick), key=key
    )
    chance = None if given.chance is None else given.chance[:, pick]
    return rain_paths(
        given.water[:, pick], chance, elsewhere, given.lead, given.hours, errors=errors, key=key
    )


def _freezing(given: ForecastValues, pick: NDArray[np.int64], rain: RainPaths, air: Array) -> Array:
    """Freezing rain: the announced share of what falls, in hours that are cold enough for it."""
    assert given.freezing is not None
    water, told = np.nan_to_num(given.water[:, pick]), given.freezing[:, pick]
    share = np.divide(np.minimum(told, water), water, out=np.zeros_like(water), where=water > 0.0)
    cold = air <= np.maximum(given.temperature[:, pick], WARMEST_FREEZING_RAIN)
    return np.where(cold & ~rain.other, share * rain.amount, 0.0)
