"""Where the sun stands in the middle of each hour."""

from functools import lru_cache
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from winterrisk.science.air import pressure_at_height

Array = NDArray[np.float64]


AIR_TEMPERATURE: Final = 5.0
"""Air temperature for the refraction of the sun's light [degC] (judged; 40 degrees change it by 0.1 degree at
the horizon)."""
HALF_AN_HOUR: Final = np.timedelta64(30, "m")
YEARS_KEPT: Final = 64
"""Calendar years whose sun is kept in memory (140 kB each): a night asks for the same hours again and again."""


def sun_at(
    instants: ArrayLike,
    latitude: float,
    longitude: float,
    elevation: float,
    *,
    pressure: float | None = None,
    temperature: float = AIR_TEMPERATURE,
) -> tuple[Array, Array]:
    """Apparent elevation and azimuth of the sun [degrees] at instants.

    Args:
        instants (time): UTC, naive; latitude [degrees north], longitude [degrees east], elevation [m].
        pressure [hPa]: of the air, default the standard atmosphere's; temperature [degC]: of the air.
    Reference: Reda and Andreas (2004), as in pvlib `solarposition.spa_python`.
    """
    from pvlib.solarposition import spa_python

    utc = pd.DatetimeIndex(np.asarray(instants)).tz_localize("UTC")
    hectopascal = float(pressure_at_height(elevation)) if pressure is None else pressure
    sun = spa_python(
        utc, latitude, longitude, altitude=elevation, pressure=100.0 * hectopascal, temperature=temperature
    )
    return sun["apparent_elevation"].to_numpy(np.float64), sun["azimuth"].to_numpy(np.float64)


def sun_position(
    times: NDArray[np.datetime64], latitude: float, longitude: float, elevation: float
) -> tuple[Array, Array]:
    """Apparent elevation and azimuth of the sun [degrees] at the middle of each hour.

    Args:
        times (time): UTC, start of the hour; the rest as in `sun_at`.

    Whole hours are worked once a calendar year and place, to the same bits.
    """
    hours = np.asarray(times).astype("datetime64[ns]")
    whole = hours.astype("datetime64[h]")
    if not np.array_equal(whole, hours):
        return sun_at(hours + HALF_AN_HOUR, latitude, longitude, elevation)
    years = whole.astype("datetime64[Y]")
    height, azimuth = np.empty(len(whole)), np.empty(len(whole))
    for year in np.unique(years):
        there = years == year
        at = (whole[there] - year.astype("datetime64[h]")).astype(np.int64)
        known = _year_of_sun(int(year.astype(np.int64)), latitude, longitude, elevation)
        height[there], azimuth[there] = known[0][at], known[1][at]
    return height, azimuth


@lru_cache(maxsize=YEARS_KEPT)
def _year_of_sun(year: int, latitude: float, longitude: float, elevation: float) -> tuple[Array, Array]:
    """Elevation and azimuth in the middle of every hour of a calendar year, counted from 1970."""
    first = np.datetime64(year, "Y")
    hours = np.arange(first.astype("datetime64[h]"), (first + 1).astype("datetime64[h]"))
    found = sun_at(hours.astype("datetime64[ns]") + HALF_AN_HOUR, latitude, longitude, elevation)
    for values in found:
        values.flags.writeable = False
    return found


def solar_hours(times: NDArray[np.datetime64], longitude: float) -> Array:
    """Hours since 1970 in mean solar time of a longitude, at the middle of each hour."""
    hours = np.asarray(times).astype("datetime64[h]").astype(np.int64)
    return hours + 0.5 + longitude / 15.0


def solar_days(times: NDArray[np.datetime64], longitude: float, starts: float = 0.0) -> NDArray[np.int64]:
    """Number of the mean solar day of each hour; a day starts `starts` [h] after solar midnight."""
    return np.floor((solar_hours(times, longitude) - starts) / 24.0).astype(np.int64)
