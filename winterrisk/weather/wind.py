"""Wind at 10 m: from another height, through the day, and where there is none."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

STANDARD_HEIGHT: Final = 10.0
"""Height of the package's wind [m] (WMO)."""
ROUGHNESS: Final = 0.03
"""Roughness length of open grass [m] (WMO, from memory)."""
DAILY_AMPLITUDE: Final = 0.3
"""Share by which the afternoon's wind exceeds the day's mean [1] (from memory)."""
WINDIEST_HOUR: Final = 14.0
"""Solar hour of the most wind [h] (from memory)."""
USUAL_WIND: Final = 4.5
"""Wind over open grass where no station measures any [m s-1]: winter means of airports in cold North America and
the Nordic lowlands are 4 to 6 (from memory); shelter is the zone's affair."""


def at_ten_metres(wind_speed: ArrayLike, height: float) -> Array:
    """Wind speed at 10 m [m s-1] from that at another height [m] over open grass (logarithmic profile)."""
    factor = np.log(STANDARD_HEIGHT / ROUGHNESS) / np.log(max(height, 10 * ROUGHNESS) / ROUGHNESS)
    return np.asarray(wind_speed, dtype=np.float64) * factor


def through_the_day(day_mean: ArrayLike, solar_hour: ArrayLike) -> Array:
    """Hourly wind speed [m s-1] from the day's mean: most at 14 h solar time, least at 2 h."""
    phase = 2.0 * np.pi * (np.asarray(solar_hour, dtype=np.float64) - WINDIEST_HOUR) / 24.0
    return np.asarray(day_mean, dtype=np.float64) * (1.0 + DAILY_AMPLITUDE * np.cos(phase))
