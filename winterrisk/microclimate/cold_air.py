"""Cold air that gathers in hollows and runs off knolls on clear calm nights."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

NIGHT_OFFSET: Final[Mapping[str, float]] = {"pools": -2.5, "drains off": 0.8, "neither": 0.0}
"""Air against the station's on a clear calm night [K] (judged: whole valleys differ by up to 10 K, about 6 K
per 100 m was seen once; a green lies a few metres in its hollow)."""
CALM, WINDY = 1.5, 4.0
"""Wind at which the pool is whole, and at which none forms [m s-1] (judged)."""
DARK, LIGHT = -3.0, 6.0
"""Sun's elevation below which the pool is whole, and above which it is gone [degrees] (judged)."""


def night_offset(cold_air: str, wind_speed: ArrayLike, cloud: ArrayLike, sun_elevation: ArrayLike) -> Array:
    """Air temperature of a zone less the station's [K].

    Whole under a clear calm night sky, fading with wind, cloud and the rising sun.

    Args:
        cold_air: "pools", "drains off" or "neither"; wind_speed (…) [m s-1]: at the station; cloud (…) [1];
            sun_elevation (…) [degrees].
    """
    wind, height = np.asarray(wind_speed, dtype=np.float64), np.asarray(sun_elevation, dtype=np.float64)
    calm = np.clip((WINDY - wind) / (WINDY - CALM), 0.0, 1.0)
    dark = np.clip((LIGHT - height) / (LIGHT - DARK), 0.0, 1.0)
    clear = 1.0 - np.clip(np.asarray(cloud, dtype=np.float64), 0.0, 1.0)
    return NIGHT_OFFSET[cold_air] * calm * dark * clear
