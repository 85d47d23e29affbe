"""The forecast a night of a past winter may have had: the weather that came, spoilt by the error model.

A forecast knows a part of how the weather departs from the usual, and is wrong about the rest. That part is
chosen so that the weather that came lies about the forecast as the paths of `forecast_paths` do: their chances
can be checked against what came.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from winterrisk.science.keyed import KeyPart, hours_since_1970
from winterrisk.weather.forecast import AGE_NAME, HOUR, forecast_dataset
from winterrisk.weather.forecast_errors import (
    ERRORS,
    ForecastErrors,
    Size,
    error_courses,
    normal_course,
)
from winterrisk.weather.forecast_paths import CLEAREST, LARGEST_DEPRESSION
from winterrisk.weather.forecast_rain import rain_elsewhere
from winterrisk.weather.forecast_values import LEAST_DEPRESSION
from winterrisk.weather.record import Record, record_of
from winterrisk.weather.usual import Usual, usual

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

HORIZON: Final = 8 * 24
"""Length of such a forecast [h]: seven whole local days after the night, as the services give."""
LEAST_KNOWN: Final = 0.1
"""Least share of the variance of the weather that a forecast knows [1] (judged)."""
LEAST_WIND: Final = 0.2
"""Wind below which its logarithm is not taken [m s-1] (judged)."""
SOURCE: Final = "made afterwards: the weather that came, with the errors of forecasts"


@dataclass(frozen=True)
class Usuals:
    """What is usual at a place, by UTC hour: temperature and its spread by month, and mean and spread of the
    logarithms of the depression, the wind and an hour's precipitation, and of the cloud on the normal scale."""

    temperature: Usual
    spread: Array
    depression: tuple[float, float]
    wind: tuple[float, float]
    cloud: tuple[float, float]
    amount: tuple[float, float]


def usuals_of(record: xr.Dataset) -> Usuals:
    """What is usual in a record (time) as `complete` gives it."""
    times = record["time"].to_numpy()
    air = record["air_temperature"].to_numpy().astype(np.float64)
    table = usual(times, air, 0.0)
    anomaly = air - table.at(times)
    month = times.astype("datetime64[M]").astype(np.int64) % 12
    count = np.maximum(np.bincount(month, minlength=12), 1)
    spread = np.sqrt(np.bincount(month, weights=anomaly**2, minlength=12) / count)
    depression = air - record["dew_point"].to_numpy()
    water = record["precipitation"].to_numpy()
    return Usuals(
        table,
        spread,
        _of(np.log(np.maximum(depression, LEAST_DEPRESSION))),
        _of(np.log(np.maximum(record["wind_speed"].to_numpy(), LEAST_WIND))),
        _of(ndtri(np.clip(record["cloud_cover"].to_numpy(), CLEAREST, 1.0 - CLEAREST))),
        _of(np.log(water[water > 0.0])) if (water > 0.0).any() else (0.0, 1.0),
    )


def _of(values: Array) -> tuple[float, float]:
    return float(values.mean()), float(values.std())


def forecast_of_truth(
    came: xr.Dataset,
    issued: np.datetime64,
    *,
    usuals: Usuals,
    key: tuple[KeyPart, ...] | KeyPart,
    known_hours: int = 6,
    horizon: int = HORIZON,
    errors: ForecastErrors = ERRORS,
) -> xr.Dataset:
    """Forecast (time) as it may have been issued at an instant, from the weather that came after.

    f = usual + r a + sqrt(r (1 - r)) s z, with a the departure that came, s its usual spread, z a keyed course
    and 1 - r = (size of the error / s)^2: then what came is f plus an error of that size that f tells nothing
    of. Rain and snow likewise: other weather of the season in a share of the hours, moved, and amounts blurred.

    Args:
        came (time): the whole record, as `complete` gives it; issued: UTC hour within it.
        usuals: `usuals_of` the record. key: the course's id, or a tuple that begins with it.
        known_hours [h]: hours before the issue that the forecast holds too; horizon [h]: hours after it.
    """
    parts = (*(key if isinstance(key, tuple) else (key,)), "forecast of truth")
    all_times = came["time"].to_numpy()
    start = np.datetime64(issued).astype("datetime64[h]").astype("datetime64[ns]") - known_hours * HOUR
    first = int((start - all_times[0]) / HOUR)
    cut = came.isel(time=slice(max(first, 0), first + known_hours + horizon))
    times = cut["time"].to_numpy()
    hours = hours_since_1970(times)
    lead = np.maximum((times - np.datetime64(issued)) / HOUR, 0.0).astype(np.float64)

    def blurred(name: str, values: Array, mean: Array | float, spread: Array | float, size: Size) -> Array:
        return _blurred(values, mean, spread, size.at(lead), normal_course((*parts, name), hours))

    air = cut["air_temperature"].to_numpy().astype(np.float64)
    month = times.astype("datetime64[M]").astype(np.int64) % 12
    told = blurred("temperature", air, usuals.temperature.at(times), usuals.spread[month], errors.temperature)
    depression = np.log(np.maximum(air - cut["dew_point"].to_numpy(), LEAST_DEPRESSION))
    depression = np.exp(blurred("depression", depression, *usuals.depression, errors.depression))
    wind = np.log(np.maximum(cut["wind_speed"].to_numpy(), LEAST_WIND))
    cover = cut["cloud_cover"].to_numpy()
    inside = np.clip(cover, CLEAREST, 1.0 - CLEAREST)
    scale = ndtri(inside)
    cloud = cover + ndtr(blurred("cloud", scale, *usuals.cloud, errors.cloud)) - inside
    values = {
        "air_temperature": told,
        "dew_point": told - np.minimum(depression, LARGEST_DEPRESSION),
        "wind_speed": np.exp(blurred("wind", wind, *usuals.wind, errors.wind)),
        "precipitation": _rain(came, cut, lead, hours, usuals, errors, parts),
        "cloud_cover": np.clip(cloud, 0.0, 1.0),
        "surface_pressure": cut["surface_pressure"].to_numpy().astype(np.float64),
    }
    made = forecast_dataset(
        times, values, source=SOURCE, issued=issued, received=issued, licence="", credit="",
        height=float(came.attrs["elevation"]),
    )  # fmt: skip
    return made.drop_vars(AGE_NAME, errors="ignore")


def _blurred(values: Array, mean: Array | float, spread: Array | float, size: Array, course: Array) -> Array:
    share = np.divide(size**2, np.square(spread), out=np.ones_like(size), where=np.asarray(spread) > 0.0)
    r = np.clip(1.0 - share, LEAST_KNOWN, 1.0)
    return mean + r * (values - mean) + np.sqrt(r * (1.0 - r)) * spread * course


def _rain(
    came: xr.Dataset,
    cut: xr.Dataset,
    lead: Array,
    hours: NDArray[np.int64],
    usuals: Usuals,
    errors: ForecastErrors,
    key: Key,
) -> Array:
    times = cut["time"].to_numpy()
    water = cut["precipitation"].to_numpy().astype(np.float64)
    moved = np.rint(error_courses("timing", lead, hours, errors.timing, members=1, key=key)[:, 0])
    water = water[np.clip(np.arange(len(water)) + moved.astype(np.int64), 0, len(water) - 1)]
    size = errors.amount.at(lead)
    with np.errstate(divide="ignore"):
        course = normal_course((*key, "amount"), hours)
        blur = _blurred(np.log(water), *usuals.amount, size, course) + size**2 / 2.0
    water = np.where(water > 0.0, np.exp(blur), 0.0)
    share = errors.other_weather.at(lead)
    if share.any():
        known: Record = record_of(came.isel(time=came["time"].to_numpy() < times[0]), None)
        elsewhere = rain_elsewhere(known, times[0], len(times), members=1, key=key)
        if elsewhere is not None:
            other = ndtr(normal_course((*key, "other weather"), hours)) < share
            water = np.where(other, elsewhere[:, 0], water)
    return water
