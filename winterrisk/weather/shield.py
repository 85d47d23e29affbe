"""Sun on snow that warms a thermometer whose shield is not ventilated."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import nearby
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.complete import SPREAD_ATTRS
from winterrisk.weather.gaps import runs
from winterrisk.weather.place import Place
from winterrisk.weather.solar import clear_sky
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.wind import STANDARD_HEIGHT, at_ten_metres

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CHECK: Final = "shield"
SNOW_LIES: Final = 0.02
"""Snow depth from which the ground is white [m] (judged)."""
CALM, WINDY = 2.5, 4.0
"""Wind at 10 m below which a shield is not ventilated, and above which it is [m s-1] (judged; errors of several
degrees below 2 m/s at the sensor over snow, Huwald et al. 2009, from memory)."""
SUN_ENOUGH: Final = 100.0
"""Clear-sky sun from which a thermometer can be warmed [W m-2] (judged)."""
LEAST_PAIRS: Final = 60
"""Calm hours with sun over snow that make a test (judged)."""
LEAST_EXCESS: Final = 1.0
"""Excess in full calm sun that is told [K] (judged: half a degree is felt by the air itself within the hour)."""
SURE: Final = 2.0
"""Excess over its standard error that is told [1] (common practice)."""


@dataclass(frozen=True)
class Excess:
    """Reading above the air in full calm sun over snow and its standard error [K], and hours that tell it."""

    value: float
    error: float
    hours: int


def sun_excess(raw: xr.Dataset, place: Place) -> Excess | None:
    """How much too warm a thermometer reads in full calm sun over snow; None where the record cannot tell.

    A sensor in the sun follows a passing cloud at once, the air over snow hardly. For each hour the share of
    the clear-sky sun, less the mean of the hours before and after, is set against the temperature, likewise:
    the slope over calm hours less that over windy ones (over none, where too few are windy) is the excess. The
    course of the day, which bends slowly, drops out.

    Args:
        raw (time): hourly, with shortwave_down, wind_speed, snow_depth; place: for the clear-sky sun.
    Reference: the error: Georges and Kaser (2002), Huwald et al. (2009), from memory; the test: own.
    """
    needed = ("air_temperature", "shortwave_down", "wind_speed", "snow_depth")
    if raw.attrs.get("step") == "daily" or any(n not in raw for n in needed):
        return None
    t = np.asarray(raw["air_temperature"].to_numpy(), dtype=np.float64)
    share, white, wind = _sunny_share(raw, place), _white(raw), _wind(raw)
    bend, bent = _bend(t), _bend(share)
    told = white & np.isfinite(bend) & np.isfinite(bent)
    calm, windy = told & (wind < CALM), told & (wind >= WINDY)
    if calm.sum() < LEAST_PAIRS:
        return None
    slope, error = _slope(bent[calm], bend[calm])
    if windy.sum() >= LEAST_PAIRS:
        natural, doubt = _slope(bent[windy], bend[windy])
        slope, error = slope - max(natural, 0.0), float(np.hypot(error, doubt))
    return Excess(slope, error, int(calm.sum()))


def with_sun_doubt(raw: xr.Dataset, place: Place) -> tuple[xr.Dataset, pd.DataFrame]:
    """The record with a spread on the temperatures that sun on snow may have raised, and a row that says so.

    The readings stay as they are; air_temperature_sd of calm white hours becomes the excess times the share of
    the clear-sky sun, so that paths differ there.

    Args:
        raw (time): hourly; place.
    """
    excess = sun_excess(raw, place)
    if excess is None or excess.value < LEAST_EXCESS or excess.value < SURE * excess.error:
        return raw, rows()
    share = np.nan_to_num(_sunny_share(raw, place))
    hit = _white(raw) & (_wind(raw) < CALM) & (share > 0.0)
    before = np.nan_to_num(raw["air_temperature_sd"].to_numpy()) if "air_temperature_sd" in raw else 0.0
    doubt = np.hypot(before, np.where(hit, excess.value * np.minimum(share, 1.0), 0.0))
    out = raw.assign(air_temperature_sd=("time", doubt, SPREAD_ATTRS))
    tell, times = Telling.of(raw), raw["time"].to_numpy()
    first, length = runs(hit)[0][0], 0
    for begin, n in runs(hit):
        length = begin + n
    words = (
        f"{tell.station} reads about {tell.measure(excess.value, 'K')} too warm in calm sun over snow: "
        f"{int(hit.sum())} h are marked as unsure. See whether its shield is there, white and ventilated."
    )
    until = times[length - 1] + np.timedelta64(1, "h")
    found = Found("air_temperature", times[first], until, excess.value, LEAST_EXCESS, "suspect", CHECK, words)
    return out, rows([found])


def _sunny_share(raw: xr.Dataset, place: Place) -> Array:
    """Share of the clear-sky sun (time) [1], NaN where the sun is low."""
    elevation, _ = sun_position(raw["time"].to_numpy(), place.latitude, place.longitude, place.elevation)
    clear = clear_sky(elevation, place.elevation)
    sun = np.asarray(raw["shortwave_down"].to_numpy(), dtype=np.float64)
    return np.where(clear >= SUN_ENOUGH, np.clip(sun / np.maximum(clear, 1.0), 0.0, 1.2), np.nan)


def _white(raw: xr.Dataset) -> Flags:
    return np.asarray(raw["snow_depth"].to_numpy() >= SNOW_LIES)


def _wind(raw: xr.Dataset) -> Array:
    height = float(raw.attrs.get("height_wind", STANDARD_HEIGHT))
    return at_ten_metres(raw["wind_speed"].to_numpy(), height)


def _bend(values: Array) -> Array:
    return values - (nearby(values, -1) + nearby(values, 1)) / 2.0


def _slope(x: Array, y: Array) -> tuple[float, float]:
    """Slope of y on x, and its standard error."""
    off = x - x.mean()
    squares = float(off @ off)
    if squares <= 0.0:
        return 0.0, np.inf
    slope = float(off @ y) / squares
    rest = y - y.mean() - slope * off
    return slope, float(np.sqrt(rest @ rest / max(len(x) - 2, 1) / squares))
