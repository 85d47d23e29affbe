"""One shape for every forecast, whoever made it, and what can be done with any of them."""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import VARIABLES

Array = NDArray[np.float64]

HOUR: Final = np.timedelta64(1, "h")
GIVEN: Final = (
    "air_temperature",
    "dew_point",
    "wind_speed",
    "precipitation",
    "cloud_cover",
    "surface_pressure",
    "freezing_rain",
)
"""Variables a forecast may give, besides the chance of precipitation."""
CHANCE: Final = "precipitation_chance"
CHANCE_ATTRS: Final = {
    "units": "1",
    "long_name": "chance of precipitation in the period this hour is part of",
}
LAPSE_RATE: Final = 6.5e-3
"""Fall of the air temperature with height [K m-1] (standard atmosphere)."""
DEW_LAPSE_RATE: Final = 2.0e-3
"""Fall of the dew point of well-mixed air with height [K m-1] (from memory)."""
HOLE: Final = 6
"""Longest hole in a forecast that is drawn in a straight line [h] (judged: the step of the late hours)."""
STALE: Final = 24
"""Age from which a forecast is old [h] (judged: services renew theirs several times a day)."""
LONGEST: Final = 60 * 24
"""Longest time a forecast covers [h] (judged: services give 10 days, ensembles up to 46)."""
AGE_NAME: Final = "issued_at"


def forecast_dataset(
    times: NDArray[np.datetime64],
    values: Mapping[str, Array],
    *,
    source: str,
    issued: np.datetime64,
    received: np.datetime64,
    licence: str,
    credit: str,
    height: float | None = None,
    **more: str,
) -> xr.Dataset:
    """A forecast (time[, member]): hourly in UTC by the hour's start, NaN beyond what the source gives.

    Args:
        times (time): whole hours, none left out.
        values: our name -> values (time) or (time, member) in our units; wind at 10 m.
        issued, received: UTC. height [m]: of the source's ground; None where it fits the course already.
        more: further attributes, such as `doubt`: what a person should know of it.
    Raises:
        WeatherError: no temperature at all, or hours left out.
    """
    hours = np.asarray(times).astype("datetime64[h]")
    temperature = values.get("air_temperature")
    if temperature is None or not np.isfinite(temperature).any():
        raise WeatherError(
            Fault(source, "a forecast without air temperature", "some hours of it", "try again later")
        )
    if len(hours) > 1 and not np.all(np.diff(hours) == HOUR):
        raise WeatherError(Fault(source, "hours left out", "a value, or none, at every hour", "report this"))
    data = {}
    for name, column in values.items():
        dims = ("time",) if column.ndim == 1 else ("time", "member")
        data[name] = (dims, column, CHANCE_ATTRS if name == CHANCE else VARIABLES[name].attrs)
    attrs = {"source": source, "issued": as_text(issued), "received": as_text(received)}
    attrs |= {"licence": licence, "credit": credit, **more}
    if height is not None:
        attrs["height"] = float(height)  # type: ignore[assignment]
    return xr.Dataset(data, coords={"time": hours.astype("datetime64[ns]")}, attrs=attrs)


def refuse_span(first: int, last: int, source: str) -> None:
    """Nothing, where a forecast reaches from its first hour to before its last over a time that forecasts have.

    Asked before anything is made for every hour between: one wrong digit in an answer must not fill the memory.

    Args:
        first, last: hours since 1970.
    Raises:
        WeatherError: no hour, or more than `LONGEST`.
    """
    if not 0 < last - first <= LONGEST:
        found = f"hours spread over {abs(last - first) / 24:,.0f} days"
        expected = f"some hours, over up to {LONGEST // 24} days"
        raise WeatherError(Fault(source, found, expected, "fetch it again later"))


def as_text(instant: np.datetime64) -> str:
    """An instant as in 2026-01-10T04:00:00 (UTC)."""
    return str(np.datetime64(instant).astype("datetime64[s]"))


def lead_hours(forecast: xr.Dataset) -> Array:
    """Hours (time) [h] from the issue of the forecast to each of its hours, at least 0."""
    times = forecast["time"].to_numpy()
    if AGE_NAME in forecast.coords:
        issued = forecast[AGE_NAME].to_numpy()
    else:
        issued = np.datetime64(forecast.attrs["issued"])
    return np.maximum((times - issued) / HOUR, 0.0).astype(np.float64)


def at_height(forecast: xr.Dataset, elevation: float) -> xr.Dataset:
    """The forecast with air temperature and dew point [degC] moved from the source's ground to `elevation` [m].

    6.5 K a kilometre for the air, 2 K for the dew point, which never exceeds the air.
    """
    above = float(forecast.attrs.get("height", elevation)) - elevation
    if not above:
        return forecast
    moved = {"air_temperature": forecast["air_temperature"] + LAPSE_RATE * above}
    if "dew_point" in forecast:
        dew = forecast["dew_point"] + DEW_LAPSE_RATE * above
        moved["dew_point"] = dew.where(~(dew > moved["air_temperature"]), moved["air_temperature"])
    for name, values in moved.items():
        values.attrs = dict(VARIABLES[name].attrs)
    return forecast.assign(moved).assign_attrs(height=elevation)


def without_tail(forecast: xr.Dataset) -> xr.Dataset:
    """The forecast's hours up to the last one before its temperature ends, small holes drawn straight.

    Args:
        forecast (time[, member]).
    Raises:
        WeatherError: no hour of temperature.
    """
    known = np.isfinite(forecast["air_temperature"].to_numpy())
    known = known if known.ndim == 1 else known.all(axis=1)
    at = np.flatnonzero(known)
    if not len(at):
        raise WeatherError(
            Fault(str(forecast.attrs.get("source")), "no hour of temperature", "some", "try again later")
        )
    breaks = np.flatnonzero(np.diff(at) > HOLE + 1)
    last = at[breaks[0]] if len(breaks) else at[-1]
    cut = forecast.isel(time=slice(int(at[0]), int(last) + 1))
    drawn = {}
    for name in ("air_temperature", "dew_point", "wind_speed", "cloud_cover", "surface_pressure"):
        if name in cut:
            drawn[name] = cut[name].interpolate_na("time", limit=HOLE, use_coordinate=False)
            drawn[name].attrs = dict(cut[name].attrs)
    return cut.assign(drawn)


def latest(forecasts: Sequence[xr.Dataset]) -> xr.Dataset:
    """For every hour what the newest forecast says that covers it; its lead time counts from that one's issue.

    Earlier forecasts so cover hours that are past but not yet measured. Only deterministic ones are joined,
    and only to those of the same kind; with members the newest stands alone.

    Args:
        forecasts: at least one, in any order.
    Returns:
        The newest with earlier hours in front, coordinate issued_at (time).
    """
    ordered = sorted(forecasts, key=lambda f: str(f.attrs["issued"]))
    newest = ordered[-1]
    if "member" in newest.dims:
        return newest
    whole = _marked(without_tail(newest))
    for earlier in reversed(ordered[:-1]):
        if "member" in earlier.dims:
            continue
        begins = whole["time"].to_numpy()[0]
        before = _marked(earlier).sel(time=slice(None, begins - HOUR))
        before = before.dropna("time", subset=["air_temperature"])
        times = before["time"].to_numpy()
        if not len(times) or times[-1] != begins - HOUR:
            continue
        breaks = np.flatnonzero(np.diff(times) != HOUR)
        before = before.isel(time=slice(int(breaks[-1]) + 1 if len(breaks) else 0, None))
        names = [n for n in whole.data_vars if n in before]
        missing = [n for n in whole.data_vars if n not in before]
        lent = before[names].assign({n: ("time", np.full(before.sizes["time"], np.nan)) for n in missing})
        whole = xr.concat(
            [lent, whole], "time", combine_attrs="override", coords="minimal", compat="override"
        )
        for name in whole.data_vars:
            whole[name].attrs = dict(newest[name].attrs)
    return whole.assign_attrs(newest.attrs)


def _marked(forecast: xr.Dataset) -> xr.Dataset:
    if AGE_NAME in forecast.coords:
        return forecast
    issued = np.datetime64(forecast.attrs["issued"]).astype("datetime64[ns]")
    return forecast.assign_coords({AGE_NAME: ("time", np.full(forecast.sizes["time"], issued))})


def doubt_of_age(issued: np.datetime64, received: np.datetime64) -> str:
    """What to say of a forecast that was old when it was received; empty when it was fresh."""
    age = float((np.datetime64(received) - np.datetime64(issued)) / HOUR)
    return f"issued {age:.0f} h before it was fetched" if age >= STALE else ""
