"""A gridded ensemble turned into a forecast: nearest cell, our names and units, hours."""

from collections.abc import Iterable, Mapping
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.constants import GRAVITY
from winterrisk.science.faults import Fault, nearest
from winterrisk.weather.forecast import HOUR, forecast_dataset
from winterrisk.weather.humidity import dew_point_of_humidity
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.units import SCALES, in_our_unit

Array = NDArray[np.float64]
Hours = NDArray[np.int64]

MEMBER_NAMES: Final = ("member", "number", "realization", "ensemble", "ensemble_member")
TIME_NAMES: Final = ("valid_time", "time", "step", "forecast_time")
LATITUDE_NAMES, LONGITUDE_NAMES = ("latitude", "lat"), ("longitude", "lon")
NAMES: Final[Mapping[str, tuple[str, ...]]] = {
    "air_temperature": ("air_temperature", "t2m", "2t", "tas", "temperature_2m", "air_temperature_2m"),
    "dew_point": ("dew_point", "d2m", "2d", "dewpoint_2m", "dew_point_2m", "dew_point_temperature_2m"),
    "relative_humidity": ("relative_humidity", "r2", "hurs", "relative_humidity_2m"),
    "wind_speed": ("wind_speed", "si10", "10si", "sfcWind", "wind_speed_10m"),
    "precipitation": ("precipitation", "tp", "pr", "precipitation_amount", "total_precipitation"),
    "cloud_cover": ("cloud_cover", "tcc", "clt", "cloud_area_fraction"),
    "surface_pressure": ("surface_pressure", "sp", "ps", "surface_air_pressure"),
}
WIND_PARTS: Final = (("u10", "v10"), ("10u", "10v"), ("uas", "vas"))
GROUND_NAMES: Final = ("orog", "surface_altitude", "orography", "elevation")
GEOPOTENTIAL_NAMES: Final = ("z",)
UNIT_WORDS: Final[Mapping[str, str]] = {
    "K": "K",
    "kelvin": "K",
    "degC": "degC",
    "C": "degC",
    "celsius": "degC",
    "°C": "degC",
    "degree_Celsius": "degC",
    "m": "m",
    "mm": "mm",
    "kg m-2": "kg m-2",
    "kg m**-2": "kg m-2",
    "kg/m2": "kg m-2",
    "kg/m^2": "kg m-2",
    "m s-1": "m/s",
    "m s**-1": "m/s",
    "m/s": "m/s",
    "km/h": "km/h",
    "Pa": "Pa",
    "hPa": "hPa",
    "1": "1",
    "(0 - 1)": "1",
    "fraction": "1",
    "%": "percent",
    "percent": "percent",
}
"""Unit as files write it -> unit in our table."""
OUR_UNITS: Final[Mapping[str, str]] = {
    "air_temperature": "degC",
    "dew_point": "degC",
    "relative_humidity": "1",
    "wind_speed": "m s-1",
    "precipitation": "kg m-2",
    "cloud_cover": "1",
    "surface_pressure": "hPa",
}
LONGEST_STEP: Final = 12
"""Longest step between two times of a file [h] (judged)."""
FARTHEST: Final = 1.5
"""Largest distance of the nearest cell [degree] (judged: files are cut to the place or cover it)."""


def ensemble_forecast(
    grid: xr.Dataset,
    latitude: float,
    longitude: float,
    *,
    source: str,
    received: np.datetime64,
    issued: np.datetime64 | None = None,
    licence: str = "",
    credit: str = "",
    accumulated: bool | None = None,
) -> xr.Dataset:
    """Forecast (time[, member]) of the cell nearest to a place, hourly, in our units.

    Values at instants are drawn straight to the middle of each hour; amounts are spread evenly over the step
    that ends at their time. A member without any temperature is left out.

    Args:
        grid: times, optionally a member dimension and latitude and longitude, under the usual names.
        issued: UTC; else `forecast_reference_time`, `time` beside steps, or the attribute; else the first time.
        accumulated: precipitation counts from the issue on; None: it does where it never falls in any member.
    Raises:
        WeatherError: no temperature, no times, an unknown unit, a place outside the grid.
    """
    cell, ground = _cell(grid, latitude, longitude, source)
    times, begin = _times(cell, source)
    begin = np.datetime64(issued) if issued is not None else begin
    order = np.argsort(times, kind="stable")
    hours = times[order].astype("datetime64[h]").astype(np.int64)
    steps = np.diff(hours)
    if len(steps) and (steps.min() < 1 or steps.max() > LONGEST_STEP):
        found = f"steps of {steps.min()} to {steps.max()} h"
        raise WeatherError(Fault(source, found, f"1 to {LONGEST_STEP} h", "leave out what is doubled"))
    columns = {name: _column(cell, name, found, order, source) for name, found in _found(cell)}
    columns |= _wind(cell, columns, order, source)
    if "air_temperature" not in columns:
        names = ", ".join(map(str, grid.data_vars))
        wanted = "one named " + ", ".join(NAMES["air_temperature"])
        raise WeatherError(
            Fault(source, f"no air temperature among {names}", wanted, "rename it in the file")
        )
    humidity = columns.pop("relative_humidity", None)
    if humidity is not None and "dew_point" not in columns:
        columns["dew_point"] = dew_point_of_humidity(columns["air_temperature"], humidity)
    water = columns.pop("precipitation", None)
    first = int(hours[0]) if len(hours) < 2 or water is None else int(hours[0] - steps[0])
    axis = np.arange(first, int(hours[-1]) + (1 if water is None else 0))
    values = {name: _at_middles(column, hours, axis) for name, column in columns.items()}
    if water is not None:
        values["precipitation"] = _spread(water, hours, axis, accumulated)
    known = np.isfinite(values["air_temperature"])
    if known.ndim == 2:
        present = known.any(axis=0)
        if not present.any():
            raise WeatherError(Fault(source, "no temperature in any member", "some", "look at the file"))
        values = {name: v[:, present] if v.ndim == 2 else v for name, v in values.items()}
    if "dew_point" in values:
        values["dew_point"] = np.fmin(values["dew_point"], values["air_temperature"])
    some = np.isfinite(values["air_temperature"]).reshape(len(axis), -1).any(axis=1)
    keep = slice(int(np.argmax(some)), len(axis))
    start = np.datetime64(int(axis[0]), "h")
    return forecast_dataset(
        (start + np.arange(len(axis)) * HOUR)[keep],
        {name: v[keep] for name, v in values.items()},
        source=source,
        issued=begin,
        received=received,
        licence=licence,
        credit=credit,
        height=ground,
    )


def _named(names: Iterable[object], wanted: Iterable[str]) -> str | None:
    there = {str(n) for n in names}
    return next((name for name in wanted if name in there), None)


def _cell(
    grid: xr.Dataset, latitude: float, longitude: float, source: str
) -> tuple[xr.Dataset, float | None]:
    cell = grid
    for wanted, place in ((LATITUDE_NAMES, latitude), (LONGITUDE_NAMES, longitude)):
        name = _named(cell.coords, wanted)
        if name is None or name not in cell.dims:
            continue
        away = cell[name].to_numpy().astype(np.float64) - place
        if wanted is LONGITUDE_NAMES:
            away = (away + 180.0) % 360.0 - 180.0
        at = int(np.argmin(np.abs(away)))
        if abs(away[at]) > FARTHEST:
            found = f"the nearest {name} {abs(away[at]):.1f} degrees away"
            raise WeatherError(Fault(source, found, "a grid that holds the course", "cut the file anew"))
        cell = cell.isel({name: at})
    ground = _named(cell.variables, GROUND_NAMES)
    if ground is not None:
        return cell, float(np.ravel(cell[ground].to_numpy())[0])
    lifted = _named(cell.variables, GEOPOTENTIAL_NAMES)
    return cell, None if lifted is None else float(np.ravel(cell[lifted].to_numpy())[0]) / GRAVITY


def _times(cell: xr.Dataset, source: str) -> tuple[NDArray[np.datetime64], np.datetime64]:
    name = next(
        (n for n in TIME_NAMES if n in cell.coords and cell[n].ndim == 1 and cell.sizes.get(n, 2)), None
    )
    if name is None:
        raise WeatherError(Fault(source, "no times", "a coordinate time, valid_time or step", "name it so"))
    values = cell[name].to_numpy()
    reference = next(
        (
            cell[n].to_numpy()
            for n in ("forecast_reference_time", "time")
            if n in cell.coords and not cell[n].ndim
        ),
        None,
    )
    if np.issubdtype(values.dtype, np.timedelta64) or not np.issubdtype(values.dtype, np.datetime64):
        if reference is None:
            raise WeatherError(Fault(source, "steps without a start", "a coordinate time", "add it"))
        lengths = values if np.issubdtype(values.dtype, np.timedelta64) else values.astype(np.int64) * HOUR
        return reference + lengths, np.datetime64(reference)
    if reference is not None:
        return values, np.datetime64(reference)
    told = cell.attrs.get("forecast_reference_time") or cell.attrs.get("issued")
    return values, np.datetime64(str(told).removesuffix("Z")) if told else values.min()


def _found(cell: xr.Dataset) -> list[tuple[str, str]]:
    pairs = ((name, _named(cell.data_vars, theirs)) for name, theirs in NAMES.items())
    return [(name, found) for name, found in pairs if found is not None]


def _column(cell: xr.Dataset, name: str, found: str, order: Hours, source: str) -> Array:
    word = str(cell[found].attrs.get("units", "")).strip()
    unit, theirs = OUR_UNITS[name], UNIT_WORDS.get(word)
    if theirs not in SCALES[unit]:
        near = nearest(word, [w for w, u in UNIT_WORDS.items() if u in SCALES[unit]])
        raise WeatherError(
            Fault(
                f"{source}: {found}", f"unit {word!r}", f"such as {near or unit}", "set the attribute units"
            )
        )
    values = cell[found]
    member = _named(values.dims, MEMBER_NAMES)
    rest = [d for d in values.dims if d != member]
    if len(rest) != 1:
        raise WeatherError(
            Fault(
                f"{source}: {found}", f"dimensions {', '.join(map(str, rest))}", "time and member", "cut it"
            )
        )
    array = values.transpose(rest[0], *([member] if member else [])).to_numpy().astype(np.float64)
    return in_our_unit(array[order], str(theirs), unit)


def _wind(cell: xr.Dataset, columns: Mapping[str, Array], order: Hours, source: str) -> dict[str, Array]:
    if "wind_speed" in columns:
        return {}
    for east, north in WIND_PARTS:
        if east in cell and north in cell:
            parts = (_column(cell, "wind_speed", name, order, source) for name in (east, north))
            return {"wind_speed": np.hypot(*parts)}
    return {}


def _at_middles(column: Array, hours: Hours, axis: Hours) -> Array:
    middles = axis + 0.5
    flat = column.reshape(len(hours), -1)
    drawn = np.column_stack([np.interp(middles, hours, one, left=np.nan, right=one[-1]) for one in flat.T])
    drawn[middles < hours[0] - 0.5] = np.nan
    return drawn.reshape(len(axis), *column.shape[1:])


def _spread(water: Array, hours: Hours, axis: Hours, accumulated: bool | None) -> Array:
    flat = water.reshape(len(hours), -1)
    if accumulated is None:
        with np.errstate(invalid="ignore"):
            rising = np.diff(flat, axis=0) >= -1e-6
        accumulated = bool(len(hours) > 2 and np.all(rising | np.isnan(flat[1:])) and np.nanmax(flat) > 0.0)
    if accumulated:
        flat = np.concatenate([flat[:1], np.diff(flat, axis=0)])
    out = np.full((len(axis), flat.shape[1]), np.nan)
    steps = np.diff(hours, prepend=hours[0] - (hours[1] - hours[0] if len(hours) > 1 else 1))
    for end, length, amount in zip(hours, steps, flat, strict=True):
        begin = max(int(end - length - axis[0]), 0)
        out[begin : int(end - axis[0])] = np.maximum(amount, 0.0) / length
    return out.reshape(len(axis), *water.shape[1:])
