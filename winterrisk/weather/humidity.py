"""Dew point where the station does not give it."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.air import dew_point_from_humidity, vapour_pressure_water

Array = NDArray[np.float64]

DRY_ABOVE_MINIMUM: Final = 1.0
"""Dew point of a dry day above the lowest temperature [K]: mean of a year's dry days at six cold stations of a
climate network, their spread 2.4 K (FAO-56 eq. 48 has 0 for humid country, 2 to 3 below in arid)."""
WET_BELOW_MEAN, SOAKED_BELOW_MEAN = 2.6, 1.6
"""Dew point below the mean of highest and lowest temperature [K] on days of little rain and of 10 mm: winter
means of the six stations 2.5 and 1.6, of an alpine site 2.6 and 1.6, of a northern clearing 1.4 and 0.8."""
SOAKED: Final = 10.0
"""Rain of a day from which the air is as moist as it gets [kg m-2] (the same records)."""
WET: Final = 0.3
"""Rain from which a day counts fully as wet [kg m-2] (the same records: traces lie halfway)."""
BELOW_AIR_IN_RAIN: Final = 1.1
"""Dew point below the air while rain or snow falls [K]: 92 % humidity, winter mean of the alpine site's wet
hours on days of 3 to 20 mm (1.8 K on drier days, 0.8 K on wetter ones)."""
RAINING: Final = 0.1
"""Rain of an hour that moistens the air fully [kg m-2] (judged)."""


def dew_point_of_humidity(temperature: Array, relative_humidity: Array) -> Array:
    """Dew point over water [degC] from temperature [degC] and relative humidity over water [1]."""
    return dew_point_from_humidity(temperature, relative_humidity)


def dew_point_of_extremes(minimum: Array, maximum: Array, precipitation: Array) -> Array:
    """Dew point over water [degC] of a day of which only extremes [degC] and precipitation [kg m-2] are known.

    On a dry day the night's air cools to near its dew point (FAO-56 eq. 48); not true in dry wind. On a wet day
    the minimum says little: rain and snow keep the air near saturation, so the day's mean leads. Missing
    precipitation counts as none.
    """
    water = np.nan_to_num(precipitation)
    mean = (minimum + maximum) / 2.0
    dry = np.minimum(minimum + DRY_ABOVE_MINIMUM, mean)
    soaked = np.clip(water / SOAKED, 0.0, 1.0)
    depression = WET_BELOW_MEAN + soaked * (SOAKED_BELOW_MEAN - WET_BELOW_MEAN)
    wet = np.maximum(mean - depression, minimum - 1.0)
    share = np.clip(water / WET, 0.0, 1.0)
    return dry + share * (wet - dry)


def dew_point_in_rain(dew_point: Array, temperature: Array, precipitation: Array) -> Array:
    """Dew point [degC] of hours with rain or snow falling [kg m-2], no more than 1.1 K below the air; others stay."""
    share = np.clip(np.nan_to_num(precipitation) / RAINING, 0.0, 1.0)
    return dew_point + share * np.maximum(temperature - BELOW_AIR_IN_RAIN - dew_point, 0.0)


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
