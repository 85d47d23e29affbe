"""The station's weather as one zone of the course feels it."""

from typing import TYPE_CHECKING, Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.microclimate.cold_air import night_offset
from winterrisk.microclimate.horizon import beam_seen, sky_view
from winterrisk.microclimate.longwave import zone_longwave
from winterrisk.microclimate.sun import (
    GROUND_ALBEDO,
    SNOW_ALBEDO,
    SNOW_COVERS,
    diffuse_fraction,
    slope_gain,
    zone_shortwave,
)
from winterrisk.microclimate.wind import zone_wind
from winterrisk.science.air import snow_fraction, vapour_pressure_water, wet_bulb
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.variables import VARIABLES

if TYPE_CHECKING:
    from winterrisk.course import Course, ZoneView

Array = NDArray[np.float64]

CARRIED: Final = ("precipitation", "surface_pressure", "freezing_rain", "snow_depth", "cloud_cover")
"""Taken over from the station as they are."""


def zone_weather(weather: xr.Dataset, course: "Course", zone: str) -> xr.Dataset:
    """The weather (time[, member]) that a zone feels: the same variables, and the share of snow.

    Trees hide sun and sky, the slope tilts the beam, shelter and exposure change the wind, cold air pools or
    runs off on clear calm nights. Precipitation is the station's: what wind does with snow is the ground's
    `snow_gain`.

    Args:
        weather (time[, member]): as `weather.complete` or `weather.possible` gives it.
        course: with its zones; zone: label, as "4 low".
    Returns:
        Dataset with attrs zone, sky_view and those of the weather; origins and member coordinates go along.
    """
    view = course.zone(zone)
    times = weather["time"].to_numpy()
    elevation, azimuth = _sun(weather, course)
    sky = sky_view(view.horizon)
    air = _air(weather, view, elevation)
    values = {n: _values(weather, n) for n in CARRIED if n in weather}
    values |= air
    values["wind_speed"] = zone_wind(_values(weather, "wind_speed"), view.exposure)
    values["shortwave_down"] = _shortwave(weather, view, times, elevation, azimuth, sky)
    values["longwave_down"] = zone_longwave(_values(weather, "longwave_down"), air["air_temperature"], sky)
    values["snow_fraction"] = _snow_fraction(weather, air, values["surface_pressure"])
    if "relative_humidity" in weather:
        humid = vapour_pressure_water(air["dew_point"]) / vapour_pressure_water(air["air_temperature"])
        values["relative_humidity"] = humid
    dims = weather["air_temperature"].dims
    data = {n: (dims if v.ndim == len(dims) else dims[:1], v, VARIABLES[n].attrs) for n, v in values.items()}
    data |= {n: weather[n].variable for n in weather.data_vars if str(n).endswith("_origin")}
    attrs = {**weather.attrs, "zone": view.label, "sky_view": sky, "timezone": course.place.timezone}
    return xr.Dataset(data, coords=weather.coords, attrs=attrs)


def _values(weather: xr.Dataset, name: str) -> Array:
    return np.asarray(weather[name].to_numpy(), dtype=np.float64)


def _sun(weather: xr.Dataset, course: "Course") -> tuple[Array, Array]:
    if "sun_elevation" in weather and "sun_azimuth" in weather:
        return _values(weather, "sun_elevation"), _values(weather, "sun_azimuth")
    place = course.place
    return sun_position(weather["time"].to_numpy(), place.latitude, place.longitude, place.elevation)


def _air(weather: xr.Dataset, view: "ZoneView", elevation: Array) -> dict[str, Array]:
    t, dew = _values(weather, "air_temperature"), _values(weather, "dew_point")
    if view.cold_air == "neither" or "cloud_cover" not in weather:
        return {"air_temperature": t, "dew_point": dew}
    height = elevation[:, None] if t.ndim == 2 else elevation
    wind, cloud = _values(weather, "wind_speed"), np.nan_to_num(_values(weather, "cloud_cover"), nan=1.0)
    t = t + night_offset(view.cold_air, wind, cloud, height)
    return {"air_temperature": t, "dew_point": np.minimum(dew, t)}


def _shortwave(
    weather: xr.Dataset,
    view: "ZoneView",
    times: NDArray[np.datetime64],
    elevation: Array,
    azimuth: Array,
    sky: float,
) -> Array:
    sun = np.maximum(_values(weather, "shortwave_down"), 0.0)
    gain = slope_gain(elevation, azimuth, view.slope, view.faces)
    seen = beam_seen(elevation, azimuth, view.horizon)
    if sky == 1.0 and np.all(gain == 1.0):
        return sun
    diffuse = diffuse_fraction(sun, elevation, times)
    if "diffuse_fraction" in weather:
        given = _values(weather, "diffuse_fraction")
        diffuse = np.where(np.isfinite(given), given, diffuse)
    albedo = np.full(sun.shape, GROUND_ALBEDO)
    if "snow_depth" in weather:
        albedo = np.where(_values(weather, "snow_depth") > SNOW_COVERS, SNOW_ALBEDO, GROUND_ALBEDO)
    return zone_shortwave(sun, diffuse, seen, gain, sky, albedo)


def _snow_fraction(weather: xr.Dataset, air: dict[str, Array], pressure: Array) -> Array:
    t = air["air_temperature"]
    wet = _values(weather, "precipitation") > 0.0
    share = np.where(t > 0.0, 0.0, 1.0)
    full = np.broadcast_to(pressure if pressure.ndim == t.ndim else pressure[:, None], t.shape)
    bulb = wet_bulb(t[wet], vapour_pressure_water(air["dew_point"][wet]), full[wet])
    share[wet] = snow_fraction(bulb)
    if "snow_fraction" in weather:
        given = _values(weather, "snow_fraction")
        share = np.where(np.isfinite(given), given, share)
    return share
