"""A station's record made whole: every required variable at every hour, each value with its origin."""

from typing import Final

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.science.keyed import KeyPart
from winterrisk.weather.complete_air import (
    fill_dew_point,
    fill_precipitation,
    fill_pressure,
    fill_temperature,
    fill_wind,
)
from winterrisk.weather.complete_radiation import SUN_ATTRS, fill_radiation
from winterrisk.weather.daily_to_hourly import daily_to_hourly
from winterrisk.weather.hours import Hours
from winterrisk.weather.place import Place
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import ORIGINS, VARIABLES
from winterrisk.weather.wind import STANDARD_HEIGHT, at_ten_metres

SPREAD_ATTRS: Final = {"units": "K", "long_name": "standard deviation of a filled air temperature"}


def complete(raw: xr.Dataset, place: Place, key: tuple[KeyPart, ...] | KeyPart) -> xr.Dataset:
    """Weather (time) with all required variables, no value of them missing, and the origin of each.

    Gaps up to 12 h are bridged on the anomaly from the usual course of the day; longer ones take another
    year's weather of the same days, joined at both ends. What the station does not measure at all (dew point,
    sun, longwave, pressure, wind) is worked out. `<name>_origin` tells for each hour how a value came about,
    `air_temperature_sd` how sure a filled temperature is; `filled` lists it all.

    Args:
        raw (time): as `read_station` gives it, hourly or daily, cut to what was known by `known_by`.
        place: latitude, longitude, elevation, timezone.
        key: what random choices hang on: the course's id, or a tuple that begins with it.
    Returns:
        Dataset(time), hourly, wind at 10 m, with sun_elevation, sun_azimuth and shortwave_clear for the
        zones.
    Raises:
        WeatherError: no temperature or no precipitation at all.
    """
    parts = key if isinstance(key, tuple) else (key,)
    if raw.attrs.get("step") == "daily":
        _refuse_without(raw, ("air_temperature_max", "air_temperature_min", "precipitation"))
        raw = daily_to_hourly(raw, place, parts)
    _refuse_without(raw, ("air_temperature", "precipitation"))
    hours = Hours.of(raw, place, parts)
    if "wind_speed" in hours.values:
        height = float(raw.attrs.get("height_wind", STANDARD_HEIGHT))
        hours.values["wind_speed"] = at_ten_metres(hours.values["wind_speed"], height)
    spread = fill_temperature(hours)
    fill_precipitation(hours)
    fill_dew_point(hours)
    fill_wind(hours)
    note = fill_pressure(hours)
    sun = fill_radiation(hours)
    data = {n: ("time", v, VARIABLES[n].attrs) for n, v in hours.values.items()}
    data |= {f"{n}_origin": ("time", o, origin_attrs(n)) for n, o in hours.origin.items()}
    data |= {n: ("time", v, SUN_ATTRS[n]) for n, v in sun.items()}
    data["air_temperature_sd"] = ("time", spread, SPREAD_ATTRS)
    attrs = {**raw.attrs, "timezone": place.timezone, "height_wind": STANDARD_HEIGHT, **note}
    attrs |= {"latitude": place.latitude, "longitude": place.longitude, "elevation": place.elevation}
    return xr.Dataset(data, coords={"time": hours.times}, attrs=attrs)


def origin_attrs(name: str) -> dict[str, str]:
    """Attributes of `<name>_origin`."""
    return {
        "units": "1",
        "long_name": f"origin of {name}",
        "flag_values": " ".join(str(k) for k in ORIGINS),
        "flag_meanings": " ".join(v.replace(" ", "_") for v in ORIGINS.values()),
    }


def _refuse_without(raw: xr.Dataset, names: tuple[str, ...]) -> None:
    where = str(raw.attrs.get("station", "weather"))
    faults = [
        Fault(where, f"no {name} in the whole record", "some of it", "find a station that measures it")
        for name in names
        if name not in raw or not np.isfinite(raw[name].to_numpy()).any()
    ]
    if faults:
        raise WeatherError(faults)
