"""Where the sun stands in the middle of each hour."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from winterrisk.science.air import pressure_at_height

Array = NDArray[np.float64]


def sun_position(
    times: NDArray[np.datetime64], latitude: float, longitude: float, elevation: float
) -> tuple[Array, Array]:
    """Apparent elevation and azimuth of the sun [degrees] at the middle of each hour.

    Args:
        times (time): UTC, start of the hour.
        latitude [degrees north], longitude [degrees east], elevation [m].
    Reference: Reda and Andreas (2004), as in pvlib `solarposition.spa_python`.
    """
    from pvlib.solarposition import spa_python

    middle = pd.DatetimeIndex(times).tz_localize("UTC") + pd.Timedelta(minutes=30)
    pascal = 100.0 * float(pressure_at_height(elevation))
    sun = spa_python(middle, latitude, longitude, altitude=elevation, pressure=pascal)
    return sun["apparent_elevation"].to_numpy(np.float64), sun["azimuth"].to_numpy(np.float64)


def solar_hours(times: NDArray[np.datetime64], longitude: float) -> Array:
    """Hours since 1970 in mean solar time of a longitude, at the middle of each hour."""
    hours = np.asarray(times).astype("datetime64[h]").astype(np.int64)
    return hours + 0.5 + longitude / 15.0


def solar_days(times: NDArray[np.datetime64], longitude: float, starts: float = 0.0) -> NDArray[np.int64]:
    """Number of the mean solar day of each hour; a day starts `starts` [h] after solar midnight."""
    return np.floor((solar_hours(times, longitude) - starts) / 24.0).astype(np.int64)
