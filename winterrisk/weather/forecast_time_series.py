"""The answer of MET Norway's location forecast turned into a forecast: hourly at first, six-hourly later."""

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.air import dew_point_from_humidity
from winterrisk.science.faults import Fault
from winterrisk.weather.forecast import CHANCE, HOUR, doubt_of_age, forecast_dataset, refuse_span
from winterrisk.weather.forecast_grid_layers import OTHER_FORM, utc_hour, utc_second
from winterrisk.weather.pressure import at_station
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.units import SCALES, in_our_unit

Array = NDArray[np.float64]

SOURCE: Final = "MET Norway location forecast"
LICENCE: Final = "CC BY 4.0"
CREDIT: Final = "Data from MET Norway"
UNIT_WORDS: Final[Mapping[str, str]] = {
    "celsius": "degC",
    "%": "percent",
    "1": "fraction",
    "m/s": "m/s",
    "hPa": "hPa",
    "mm": "mm",
}
"""Unit word of the service -> unit in our table."""
AT_INSTANTS: Final[Mapping[str, tuple[str, str]]] = {
    "air_temperature": ("air_temperature", "degC"),
    "dew_point_temperature": ("dew_point", "degC"),
    "relative_humidity": ("relative_humidity", "1"),
    "wind_speed": ("wind_speed", "m s-1"),
    "cloud_area_fraction": ("cloud_cover", "1"),
    "air_pressure_at_sea_level": ("surface_pressure", "hPa"),
}
"""Values at the instants -> our name and unit."""
EXTREMES: Final = ("air_temperature_max", "air_temperature_min")
NEXT_HOUR, NEXT_SIX = "next_1_hours", "next_6_hours"
LONG_STEP: Final = 6
REACHED: Final = 0.1
"""How far an extreme must lie outside the values at both ends to be drawn in between [K] (judged)."""


def time_series_forecast(
    answer: Mapping[str, Any], received: np.datetime64, elevation: float | None = None
) -> xr.Dataset:
    """Forecast (time) from a location forecast answer ("complete"), as received at `received` (UTC).

    Values at instants are drawn straight to the middle of each hour; in six-hour steps the period's highest or
    lowest temperature is reached halfway where it lies outside both ends. Amounts: of the next hour where
    given, else of the next six hours, spread evenly.

    Args:
        elevation [m]: that was asked for; the service has then fitted the temperature to it.
    Raises:
        WeatherError: no temperature, unknown units, or an answer in another form.
    """
    try:
        return _of_series(answer, received, elevation)
    except OTHER_FORM as fault:
        raise _strange(f"{type(fault).__name__} ({str(fault)[:80]})") from fault


def _of_series(answer: Mapping[str, Any], received: np.datetime64, elevation: float | None) -> xr.Dataset:
    try:
        meta = answer["properties"]["meta"]
        series = sorted(answer["properties"]["timeseries"], key=lambda one: utc_hour(str(one["time"])))
        issued = utc_second(str(meta["updated_at"]))
        starts = np.array([utc_hour(str(one["time"])) for one in series]).astype(np.int64)
        data = [one["data"] for one in series]
        units = dict(meta["units"])
    except (KeyError, TypeError, ValueError) as fault:
        raise _strange(f"no {fault}") from fault
    if not len(starts):
        raise WeatherError(Fault(SOURCE, "an empty time series", "hours ahead", "try again later"))
    last = int(starts[-1]) + (LONG_STEP if _period(data[-1], NEXT_SIX) else 1)
    refuse_span(int(starts[0]), last, SOURCE)
    hours = np.arange(int(starts[0]), last)
    values = {name: _drawn(data, starts, hours, theirs, units) for theirs, name in _names(data)}
    if "air_temperature" not in values:
        raise WeatherError(Fault(SOURCE, "no air temperature", "some hours of it", "try again later"))
    values["precipitation"] = _amounts(
        data, starts, hours, "precipitation_amount", units, "kg m-2", total=True
    )
    chance = _amounts(data, starts, hours, "probability_of_precipitation", units, "1", total=False)
    if np.isfinite(chance).any():
        values[CHANCE] = np.clip(chance, 0.0, 1.0)
    return _forecast(values, hours, issued, received, answer, elevation)


def _names(data: list[Any]) -> list[tuple[str, str]]:
    seen = {name for one in data for name in _instant(one)}
    return [(theirs, ours) for theirs, (ours, _) in AT_INSTANTS.items() if theirs in seen]


def _instant(one: Mapping[str, Any]) -> Mapping[str, Any]:
    return ((one.get("instant") or {}).get("details")) or {}


def _period(one: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    return ((one.get(name) or {}).get("details")) or {}


def _in_ours(values: Array, theirs: str, units: Mapping[str, Any], unit: str) -> Array:
    word = str(units.get(theirs, ""))
    known = UNIT_WORDS.get(word)
    if known not in SCALES[unit]:
        raise _strange(f"{theirs} in {word or 'no unit'}")
    return in_our_unit(values, str(known), unit)


def _drawn(
    data: list[Any],
    starts: NDArray[np.int64],
    hours: NDArray[np.int64],
    theirs: str,
    units: Mapping[str, Any],
) -> Array:
    unit = AT_INSTANTS[theirs][1]
    given = np.array([_number(_instant(one).get(theirs)) for one in data])
    at, values = starts.astype(np.float64), given
    if theirs == "air_temperature":
        at, values = _with_extremes(data, starts, given)
    known = np.isfinite(values)
    if not known.any():
        return np.full(len(hours), np.nan)
    middles = hours + 0.5
    out = np.interp(middles, at[known], values[known], right=values[known][-1])
    far = np.searchsorted(at[known], middles)
    before = at[known][np.maximum(far - 1, 0)]
    after = at[known][np.minimum(far, known.sum() - 1)]
    wide = (after - before > 2 * LONG_STEP) | (middles - after > LONG_STEP)
    return _in_ours(np.where(wide, np.nan, out), theirs, units, unit)


def _with_extremes(data: list[Any], starts: NDArray[np.int64], given: Array) -> tuple[Array, Array]:
    at, values = list(starts.astype(np.float64)), list(given)
    for i in range(len(starts) - 1):
        if starts[i + 1] - starts[i] != LONG_STEP:
            continue
        ends = given[i : i + 2]
        highest, lowest = (_number(_period(data[i], NEXT_SIX).get(name)) for name in EXTREMES)
        over, under = highest - ends.max(), ends.min() - lowest
        if not np.isfinite(over + under) or max(over, under) < REACHED:
            continue
        at.append(float(starts[i]) + LONG_STEP / 2)
        values.append(highest if over >= under else lowest)
    order = np.argsort(at)
    return np.array(at)[order], np.array(values)[order]


def _amounts(
    data: list[Any],
    starts: NDArray[np.int64],
    hours: NDArray[np.int64],
    theirs: str,
    units: Mapping[str, Any],
    unit: str,
    *,
    total: bool,
) -> Array:
    out = np.full(len(hours), np.nan)
    for period, length in ((NEXT_SIX, LONG_STEP), (NEXT_HOUR, 1)):
        for one, start in zip(data, starts, strict=True):
            value = _number(_period(one, period).get(theirs))
            if np.isfinite(value):
                begin = int(start - hours[0])
                out[begin : begin + length] = value / length if total else value
    return _in_ours(out, theirs, units, unit) if np.isfinite(out).any() else out


def _number(value: Any) -> float:
    return float(value) if isinstance(value, int | float) else np.nan


def _forecast(
    values: dict[str, Array],
    hours: NDArray[np.int64],
    issued: np.datetime64,
    received: np.datetime64,
    answer: Mapping[str, Any],
    elevation: float | None,
) -> xr.Dataset:
    air = values["air_temperature"]
    humidity = values.pop("relative_humidity", None)
    if humidity is not None and "dew_point" not in values:
        values["dew_point"] = dew_point_from_humidity(air, humidity)
    if "dew_point" in values:
        values["dew_point"] = np.where(values["dew_point"] > air, air, values["dew_point"])
    if "cloud_cover" in values:
        values["cloud_cover"] = np.clip(values["cloud_cover"], 0.0, 1.0)
    where = (answer.get("geometry") or {}).get("coordinates") or []
    ground = float(where[2]) if len(where) > 2 and where[2] is not None else elevation
    if "surface_pressure" in values:
        at = ground if ground is not None else 0.0
        values["surface_pressure"] = at_station(values["surface_pressure"], at)
    age = doubt_of_age(issued, received)
    more = {"doubt": age} if age else {}
    return forecast_dataset(
        np.datetime64(int(hours[0]), "h") + np.arange(len(hours)) * HOUR,
        values,
        source=SOURCE,
        issued=issued,
        received=received,
        licence=LICENCE,
        credit=CREDIT,
        height=ground,
        **more,
    )


def _strange(found: str) -> WeatherError:
    move = "the service may have changed its form: see whether a newer version of this program knows it"
    return WeatherError(Fault(SOURCE, found, "the documented form of the location forecast", move))
