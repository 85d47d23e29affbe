"""A station's record made whole: every required variable at every hour, each value with its origin."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.air import pressure_at_height
from winterrisk.science.faults import Fault
from winterrisk.science.keyed import KeyPart, hours_since_1970
from winterrisk.weather.bridge import ANOMALY_SPREAD
from winterrisk.weather.complete_radiation import with_radiation
from winterrisk.weather.daily_to_hourly import daily_to_hourly
from winterrisk.weather.gaps import SHORT_WATER_GAP, filled
from winterrisk.weather.humidity import dew_point_of_humidity, dew_point_of_minimum, between_middays
from winterrisk.weather.place import Place
from winterrisk.weather.pressure import at_station, is_sea_level
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.sun_position import solar_days, solar_hours
from winterrisk.weather.usual import usual
from winterrisk.weather.variables import FILLED, MEASURED, OPTIONAL, REQUIRED, VARIABLES
from winterrisk.weather.wind import STANDARD_HEIGHT, USUAL_WIND, at_ten_metres, through_the_day

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

LEAST_WIND: Final = 0.1
"""Least wind that a filled hour gets [m s-1] (judged)."""
PRESSURE_SPREAD: Final = 8.0
"""Spread of the pressure about its mean [hPa] (judged); only where the record cannot tell."""
OPTIONAL_FILLS: Final = 0.0


def complete(raw: xr.Dataset, place: Place, key: Key | str) -> xr.Dataset:
    """Weather (time) with all required variables, no value missing, and the origin of each.

    Gaps of temperature, humidity, wind and pressure up to 12 h are bridged on the anomaly; longer ones take
    another year's weather of the same days, joined at both ends. Humidity, sun, longwave and pressure that the
    station does not measure are worked out. `<name>_origin` says for each hour how the value came about and
    `air_temperature_sd` how sure a filled temperature is; `filled` lists it all.

    Args:
        raw (time): as `read_station` gives it, hourly or daily, cut by `known_by` to what was known.
        place: latitude, longitude, elevation, timezone.
        key: what random choices hang on; the course's id, or a tuple that begins with it.
    Returns:
        Dataset(time) hourly, in our units, wind at 10 m, with sun_elevation and sun_azimuth for the zones.
    Raises:
        WeatherError: no temperature or no precipitation at all.
    """
    key = (key,) if isinstance(key, str | int) else tuple(key)
    if raw.attrs.get("step") == "daily":
        raw = daily_to_hourly(raw, place, key)
    _refuse_without(raw)
    times = raw["time"].to_numpy()
    values = {n: _known(raw, n) for n in (*REQUIRED, *OPTIONAL) if n in raw}
    origin = {n: _given_origin(raw, n) for n in values}
    values["wind_speed"] = at_ten_metres(
        values.get("wind_speed", np.full(len(times), np.nan)), float(raw.attrs.get("height_wind", STANDARD_HEIGHT))
    )
    spread = _fill_temperature(values, origin, times, key)
    _fill_dew_point(values, origin, times, place, key)
    _fill_wind(values, origin, times, place, key)
    _fill_precipitation(values, origin, times, key)
    note = _fill_pressure(values, origin, times, place, key)
    geometry = with_radiation(values, origin, times, place, key)
    data = {n: ("time", v, VARIABLES[n].attrs) for n, v in values.items()}
    data |= {f"{n}_origin": ("time", o, origin_attrs(n)) for n, o in origin.items()}
    data |= geometry
    data["air_temperature_sd"] = (
        "time",
        spread,
        {"units": "K", "long_name": "standard deviation of a filled air temperature"},
    )
    attrs = {**raw.attrs, "timezone": place.timezone, "height_wind": STANDARD_HEIGHT}
    attrs |= {"latitude": place.latitude, "longitude": place.longitude, "elevation": place.elevation}
    return xr.Dataset(data, coords={"time": times}, attrs=attrs | note)


def origin_attrs(name: str) -> dict[str, str]:
    """Attributes of `<name>_origin`."""
    meanings = "measured other_station model_analysis filled forecast past_winter"
    return {"units": "1", "long_name": f"origin of {name}", "flag_values": "0 1 2 3 4 5", "flag_meanings": meanings}


def _refuse_without(raw: xr.Dataset) -> None:
    where = str(raw.attrs.get("station", "weather"))
    faults = [
        Fault(where, f"no {name} in the whole record", "some", "without it nothing can be said; find a station with it")
        for name in ("air_temperature", "precipitation")
        if name not in raw or not np.isfinite(raw[name].to_numpy()).any()
    ]
    if faults:
        raise WeatherError(faults)


def _known(raw: xr.Dataset, name: str) -> Array:
    return np.array(raw[name].to_numpy(), dtype=np.float64)


def _given_origin(raw: xr.Dataset, name: str) -> NDArray[np.int8]:
    if f"{name}_origin" in raw:
        return np.array(raw[f"{name}_origin"].to_numpy(), dtype=np.int8)
    return np.where(np.isfinite(raw[name].to_numpy()), MEASURED, FILLED).astype(np.int8)


def _fill_temperature(values: dict, origin: dict, times: NDArray[np.datetime64], key: Key) -> Array:
    t = values["air_temperature"]
    origin["air_temperature"][~np.isfinite(t)] = FILLED
    expected = usual(times, t, ANOMALY_SPREAD)
    base = expected.at(times)
    fill = _filled(t - base, times, key, "air_temperature", spread=expected.spread)
    values["air_temperature"] = base + fill.values
    return fill.spread


def _fill_dew_point(values: dict, origin: dict, times: NDArray[np.datetime64], place: Place, key: Key) -> None:
    t = values["air_temperature"]
    dew = values.get("dew_point", np.full(len(times), np.nan))
    mine = origin.get("dew_point", np.full(len(times), FILLED, dtype=np.int8))
    if "relative_humidity" in values:
        humid = dew_point_of_humidity(t, values["relative_humidity"])
        told = ~np.isfinite(dew) & np.isfinite(humid) & (origin["air_temperature"] != FILLED)
        dew, mine = np.where(told, humid, dew), np.where(told, MEASURED, mine).astype(np.int8)
    mine[~np.isfinite(dew)] = FILLED
    if np.isfinite(dew).any():
        below = t - dew
        expected = usual(times, below, ANOMALY_SPREAD)
        base = expected.at(times)
        fill = _filled(below - base, times, key, "air_temperature", spread=expected.spread)
        dew = t - np.maximum(base + fill.values, 0.0)
    else:
        days = solar_days(times, place.longitude)
        starts = np.flatnonzero(np.diff(days, prepend=days[0] - 1))
        lowest = np.minimum.reduceat(t, starts)
        dew = between_middays(dew_point_of_minimum(lowest), days, solar_hours(times, place.longitude))
    values["dew_point"] = np.minimum(dew, t)
    origin["dew_point"] = mine


def _fill_wind(values: dict, origin: dict, times: NDArray[np.datetime64], place: Place, key: Key) -> None:
    wind = values["wind_speed"]
    mine = origin.get("wind_speed", np.full(len(times), FILLED, dtype=np.int8))
    mine[~np.isfinite(wind)] = FILLED
    if np.isfinite(wind).any():
        expected = usual(times, wind, 1.0)
        base = expected.at(times)
        fill = _filled(wind - base, times, key, "air_temperature", spread=expected.spread)
        wind = np.where(np.isfinite(wind), wind, np.maximum(base + fill.values, LEAST_WIND))
    else:
        wind = through_the_day(USUAL_WIND, solar_hours(times, place.longitude))
    values["wind_speed"], origin["wind_speed"] = wind, mine


def _fill_precipitation(values: dict, origin: dict, times: NDArray[np.datetime64], key: Key) -> None:
    water = values["precipitation"]
    origin["precipitation"][~np.isfinite(water)] = FILLED
    fill = _filled(water, times, key, "air_temperature", spread=0.0, short=SHORT_WATER_GAP, joined=False)
    values["precipitation"] = np.maximum(fill.values, 0.0)
    for name, nothing in (("snow_fraction", np.nan), ("freezing_rain", 0.0)):
        if name in values:
            values[name] = np.where(np.isfinite(values[name]), values[name], nothing)


def _fill_pressure(
    values: dict, origin: dict, times: NDArray[np.datetime64], place: Place, key: Key
) -> dict[str, str]:
    standard = float(pressure_at_height(place.elevation))
    given = values.get("surface_pressure", np.full(len(times), np.nan))
    mine = origin.get("surface_pressure", np.full(len(times), FILLED, dtype=np.int8))
    note = {}
    if is_sea_level(given, place.elevation):
        given = at_station(given, place.elevation)
        note = {"surface_pressure_note": "the file's pressure is reduced to sea level; turned back to the station"}
    mine[~np.isfinite(given)] = FILLED
    mean = float(np.nanmean(given)) if np.isfinite(given).any() else standard
    fill = _filled(given - mean, times, key, "air_temperature", spread=PRESSURE_SPREAD)
    values["surface_pressure"], origin["surface_pressure"] = mean + fill.values, mine
    return note


def _filled(
    anomaly: Array, times: NDArray[np.datetime64], key: Key, name: str, *, spread: float, **how: object
) -> "Filled":
    first = int(hours_since_1970(times[:1])[0])
    return filled(anomaly, first_hour=first, key=(*key, "gap"), spread=spread, **how)
