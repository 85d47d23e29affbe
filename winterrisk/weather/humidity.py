"""Dew point where the station does not give it."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.air import dew_point_from_humidity, vapour_pressure_water

Array = NDArray[np.float64]

DEPRESSION_AT_MINIMUM: Final = 1.0
"""Dew point below the night's minimum [K]: near nothing in humid winter air, 2 to 3 in dry country (judged
within FAO-56's advice)."""


def dew_point_of_humidity(temperature: Array, relative_humidity: Array) -> Array:
    """Dew point over water [degC] from temperature [degC] and relative humidity over water [1]."""
    return dew_point_from_humidity(temperature, relative_humidity)


def dew_point_of_minimum(minimum: Array) -> Array:
    """Dew point over water [degC] from the day's lowest temperature [degC].

    The night's air cools to near its dew point; not true in dry wind or under advection.
    Reference: FAO-56 eq. 48.
    """
    return minimum - DEPRESSION_AT_MINIMUM


def relative_humidity(temperature: Array, dew_point: Array) -> Array:
    """Relative humidity over water [1]."""
    return np.minimum(vapour_pressure_water(dew_point) / vapour_pressure_water(temperature), 1.0)


def between_middays(daily: Array, days: NDArray[np.int64], solar_hour: Array) -> Array:
    """A value of each day drawn linearly from noon to noon (time); held before the first and after the last.

    Args:
        daily (day): in ascending order of the days in `days`; days (time); solar_hour (time) [h]: since 1970.
    """
    known = np.isfinite(daily)
    noons = 24.0 * np.unique(days) + 12.0
    if not known.any():
        return np.full(len(days), np.nan)
    return np.interp(solar_hour, noons[known], daily[known])
