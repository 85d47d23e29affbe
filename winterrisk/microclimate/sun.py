"""Shortwave on a zone: split into beam and sky, hidden by trees, tilted with the slope."""

from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

LOWEST_SUN: Final = 3.0
"""Elevation below which the beam on a slope is taken as on level ground [degrees] (judged: the ratio has no
limit)."""
LARGEST_GAIN: Final = 3.0
"""Largest gain of a slope facing a low sun [1] (judged)."""
GROUND_ALBEDO: Final = 0.2
"""Albedo of grass round the zone [1] (handbook value, from memory)."""
SNOW_ALBEDO: Final = 0.7
"""Albedo of snow and trees round the zone [1] (judged)."""
SNOW_COVERS: Final = 0.02
"""Snow depth at the station from which the surroundings are white [m] (judged)."""


def diffuse_fraction(shortwave: Array, sun_elevation: Array, times: NDArray[np.datetime64]) -> Array:
    """Share of the shortwave that comes from the sky [1], from how clear it is.

    Args:
        shortwave (time[, member]) [W m-2]; sun_elevation (time) [degrees]; times (time): UTC, start of the
            hour.
    Reference: Erbs et al. (1982), as in pvlib `irradiance.erbs`.
    """
    from pvlib.irradiance import erbs

    middle = pd.DatetimeIndex(times) + pd.Timedelta(minutes=30)
    height = _as(sun_elevation, shortwave)
    day = _as(middle.day_of_year.to_numpy(np.float64), shortwave)
    split = erbs(np.maximum(shortwave, 0.0), 90.0 - height, day)
    share = np.asarray(split["dhi"]) / np.maximum(shortwave, 1e-9)
    return np.where((shortwave > 0.0) & (height > 0.0), np.clip(np.nan_to_num(share, nan=1.0), 0.0, 1.0), 1.0)


def slope_gain(sun_elevation: ArrayLike, sun_azimuth: ArrayLike, slope: float, faces: float | None) -> Array:
    """Beam on a slope over beam on level ground [1]: 1 on the flat, 0 where the slope looks away.

    Args:
        sun_elevation, sun_azimuth (time) [degrees]; slope [1]: fall over distance; faces [degrees]: azimuth
            of fall.
    """
    height, azimuth = (np.radians(np.asarray(x, dtype=np.float64)) for x in (sun_elevation, sun_azimuth))
    if faces is None or slope == 0.0:
        return np.ones(height.shape)
    tilt = np.arctan(slope)
    incidence = np.sin(height) * np.cos(tilt) + np.cos(height) * np.sin(tilt) * np.cos(
        azimuth - np.radians(faces)
    )
    gain = np.clip(incidence / np.maximum(np.sin(height), 1e-6), 0.0, LARGEST_GAIN)
    return np.where(height > np.radians(LOWEST_SUN), gain, 1.0)


def zone_shortwave(
    shortwave: Array, diffuse: Array, seen: Array, gain: Array, sky: float, surround_albedo: ArrayLike
) -> Array:
    """Shortwave on a zone [W m-2]: beam where seen, sky in the share seen, and light from the surroundings.

    Args:
        shortwave, diffuse (time[, member]) [W m-2, 1]: on open level ground, and its diffuse share.
        seen, gain (time) [1]: share of the beam that clears the horizon, gain by the slope.
        sky [1]: share of the sky seen; surround_albedo [1]: of what stands in the rest of it.
    """
    beam = shortwave * (1.0 - diffuse)
    scattered = shortwave * diffuse * sky
    around = (1.0 - sky) * np.asarray(surround_albedo) * shortwave * diffuse
    return beam * _as(seen * gain, shortwave) + scattered + around


def _as(series: Array, like: Array) -> Array:
    """A series (time) shaped to go with (time, member)."""
    return series[:, None] if like.ndim == 2 else series
