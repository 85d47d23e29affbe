"""The answer of the US national forecast grid turned into a forecast: layers coded by run length."""

import re
from collections.abc import Mapping
from typing import Any, Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.air import dew_point_from_humidity
from winterrisk.science.faults import Fault
from winterrisk.weather.forecast import CHANCE, doubt_of_age, forecast_dataset, refuse_span
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.units import SCALES, in_our_unit

Array = NDArray[np.float64]
Run = tuple[int, int, float]

SOURCE: Final = "US National Weather Service forecast grid"
LICENCE: Final = "public domain"
CREDIT: Final = "US National Weather Service"
UNIT_CODES: Final[Mapping[str, str]] = {
    "degC": "degC",
    "degF": "degF",
    "K": "K",
    "percent": "percent",
    "mm": "mm",
    "m": "m",
    "km_h-1": "km/h",
    "m_s-1": "m/s",
    "kt": "knots",
    "Pa": "Pa",
    "hPa": "hPa",
}
"""Unit code of the service without its prefix -> unit in our table (codes of the WMO's register)."""
HELD: Final[Mapping[str, tuple[str, str]]] = {
    "temperature": ("air_temperature", "degC"),
    "dewpoint": ("dew_point", "degC"),
    "relativeHumidity": ("relative_humidity", "1"),
    "windSpeed": ("wind_speed", "m s-1"),
    "skyCover": ("cloud_cover", "1"),
    "probabilityOfPrecipitation": (CHANCE, "1"),
}
"""Layers whose value holds at every hour of its period -> our name and unit."""
SUMMED: Final[Mapping[str, tuple[str, str]]] = {
    "quantitativePrecipitation": ("precipitation", "kg m-2"),
    "iceAccumulation": ("freezing_rain", "kg m-2"),
}
"""Layers whose value is the total of its period."""
OTHER_FORM: Final = (ArithmeticError, AttributeError, LookupError, TypeError, ValueError)
"""What reading an answer in a form that nobody knows comes to."""
_PERIOD: Final = re.compile(
    r"P(?:(?P<weeks>\d+)W)?(?:(?P<days>\d+)D)?(?:T(?:(?P<hours>\d+)H)?(?:(?P<minutes>\d+)M)?(?:\d+S)?)?"
)


def duration_hours(text: str) -> float:
    """Length [h] of an ISO 8601 duration such as PT6H or P1DT12H.

    Raises:
        ValueError: it is none of weeks, days, hours and minutes.
    """
    found = _PERIOD.fullmatch(text)
    if not found or not any(found.groupdict().values()):
        raise ValueError(text)
    weeks, days, hours, minutes = (int(v or 0) for v in found.groupdict().values())
    return 168.0 * weeks + 24.0 * days + hours + minutes / 60.0


def utc_hour(text: str) -> np.datetime64:
    """The UTC hour in which an instant with a zone lies, as in 2026-01-10T06:00:00-06:00."""
    return utc_second(text).astype("datetime64[h]")


def utc_second(text: str) -> np.datetime64:
    """An instant with a zone, in UTC."""
    found = re.fullmatch(r"(.+?)(?:Z|([+-])(\d\d):?(\d\d))", text)
    if not found:
        raise ValueError(text)
    sign = -1 if found[2] == "-" else 1
    minutes = sign * (60 * int(found[3] or 0) + int(found[4] or 0))
    return np.datetime64(found[1]).astype("datetime64[s]") - np.timedelta64(minutes, "m")


def grid_forecast(answer: Mapping[str, Any], received: np.datetime64) -> xr.Dataset:
    """Forecast (time) from a grid answer, as received at `received` (UTC).

    Values that hold over a period are repeated, totals are spread evenly over it; a null stays missing. A
    layer whose unit is not known is left out and named in `doubt`; for temperature that is refused.

    Raises:
        WeatherError: no temperature, or an answer in another form.
    """
    try:
        return _of_layers(answer, received)
    except OTHER_FORM as fault:
        raise _strange(f"{type(fault).__name__} ({str(fault)[:80]})") from fault


def _of_layers(answer: Mapping[str, Any], received: np.datetime64) -> xr.Dataset:
    layers = answer.get("properties")
    if not isinstance(layers, Mapping):
        raise _strange("no properties")
    doubts: list[str] = []
    issued_text = layers.get("updateTime")
    try:
        issued = utc_second(str(issued_text))
    except ValueError as fault:
        raise _strange(f"updateTime {issued_text!r}") from fault
    read: dict[str, list[Run]] = {}
    units: dict[str, tuple[str, str]] = {}
    for layer, (_, unit) in (HELD | SUMMED).items():
        given = layers.get(layer)
        if not isinstance(given, Mapping) or not given.get("values"):
            continue
        code = str(given.get("uom") or given.get("unitCode") or "")
        theirs = UNIT_CODES.get(code.rpartition(":")[2])
        if theirs not in SCALES[unit]:
            if layer == "temperature":
                raise _strange(f"temperature in {code or 'no unit'}")
            doubts.append(f"{layer} left out: its unit is {code or 'not given'}")
            continue
        read[layer] = [_run(value) for value in given["values"]]
        units[layer] = (str(theirs), unit)
    if "temperature" not in read:
        raise WeatherError(Fault(SOURCE, "no temperature", "a temperature layer", "try again later"))
    first = min(run[0] for run in read["temperature"])
    last = max(run[0] + run[1] for run in read["temperature"])
    refuse_span(first, last, SOURCE)
    values = {}
    for layer, runs in read.items():
        name, _ = (HELD | SUMMED)[layer]
        values[name] = in_our_unit(_hours(runs, first, last - first, total=layer in SUMMED), *units[layer])
    return _forecast(values, first, issued, received, layers, doubts)


def _run(value: Any) -> Run:
    try:
        start, _, length = str(value["validTime"]).partition("/")
        hours = max(round(duration_hours(length)), 1)
        number = np.nan if value["value"] is None else float(value["value"])
        return int(utc_hour(start).astype(np.int64)), hours, number
    except (KeyError, TypeError, ValueError, OverflowError) as fault:
        raise _strange(f"a value {str(value)[:80]}") from fault


def _hours(runs: list[Run], first: int, count: int, *, total: bool) -> Array:
    out = np.full(count, np.nan)
    for start, hours, value in runs:
        begin, end = max(start - first, 0), min(start + hours - first, count)
        if end > begin:
            out[begin:end] = value / hours if total else value
    return out


def _forecast(
    values: dict[str, Array],
    first: int,
    issued: np.datetime64,
    received: np.datetime64,
    layers: Mapping[str, Any],
    doubts: list[str],
) -> xr.Dataset:
    humidity = values.pop("relative_humidity", None)
    air = values["air_temperature"]
    if humidity is not None:
        dew = values.get("dew_point", np.full(len(air), np.nan))
        values["dew_point"] = np.where(np.isfinite(dew), dew, dew_point_from_humidity(air, humidity))
    if "dew_point" in values:
        values["dew_point"] = np.where(values["dew_point"] > air, air, values["dew_point"])
    for name in ("cloud_cover", CHANCE):
        if name in values:
            values[name] = np.clip(values[name], 0.0, 1.0)
    for name in ("precipitation", "freezing_rain", "wind_speed"):
        if name in values:
            values[name] = np.where(values[name] < 0.0, np.nan, values[name])
    age = doubt_of_age(issued, received)
    doubts = [*doubts, age] if age else doubts
    more = {"doubt": "; ".join(doubts)} if doubts else {}
    times = np.datetime64(first, "h") + np.arange(len(air)) * np.timedelta64(1, "h")
    return forecast_dataset(
        times,
        values,
        source=SOURCE,
        issued=issued,
        received=received,
        licence=LICENCE,
        credit=CREDIT,
        height=_height(layers.get("elevation")),
        **more,
    )


def _height(given: Any) -> float | None:
    if not isinstance(given, Mapping) or given.get("value") is None:
        return None
    code = str(given.get("unitCode") or given.get("uom") or "").rpartition(":")[2]
    return float(given["value"]) if code == "m" else None


def _strange(found: str) -> WeatherError:
    move = "the service may have changed its form: see whether a newer version of this program knows it"
    return WeatherError(Fault(SOURCE, found, "the documented form of the grid answer", move))
