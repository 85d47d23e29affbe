"""Shortwave radiation of the hour: clear sky, and what is left of it under cloud."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.science.air import pressure_at_height

Array = NDArray[np.float64]

LEAST_OF_RANGE, OF_RANGE = 0.145, 0.19
"""Share of the clear day's radiation without a daily range [1], and its rise with the root of the range [K-0.5] on a
dry day: October to April at six cold stations of a climate network, an alpine site with its horizon taken off and a
boreal one. As a share of the extraterrestrial (Hargreaves and Samani 1982) a low sun's long way through the air was
missing: half as much again too much in midwinter at 61 N, a tenth too little in February to April at most stations."""
NEAR_WATER: Final = 0.19 / 0.16
"""Radiation near large water over that inland at the same daily range [1]: the coefficients of FAO-56 (Allen et al.
1998, equation 50) for coasts whose air comes off a nearby water body, and for the interior."""
RAIN_DARKENS: Final = 0.36
"""Loss of that share with the root of the day's rain [(kg m-2)-0.5] (the same records)."""
LEAST_SHARE, LARGEST_SHARE = 0.1, 1.05
"""Least and largest share of the clear day's radiation [1] (judged)."""
CLOUD_LOSS, CLOUD_POWER = 0.75, 3.4
"""Kasten and Czeplak (1980), from memory."""
LEAST_CLEAR: Final = 1.0
"""Clear-sky radiation below which the sun says nothing about clouds [W m-2] (judged)."""
LARGEST_CLEARNESS: Final = 1.2
"""Largest believable share of the clear-sky radiation, cloud edges and all (judged)."""


def clear_sky(sun_elevation: ArrayLike, elevation: float) -> Array:
    """Shortwave on level ground under a clear sky [W m-2].

    Args:
        sun_elevation (…) [degrees]: apparent, at the middle of the hour.
        elevation [m]: of the ground.
    Reference: Ineichen (2008), simplified Solis, as in pvlib `clearsky.simplified_solis`.
    """
    from pvlib.clearsky import simplified_solis

    height = np.asarray(sun_elevation, dtype=np.float64)
    pascal = 100.0 * float(pressure_at_height(elevation))
    sky = simplified_solis(np.maximum(height, 0.0), pressure=pascal)
    return np.where(height > 0.0, np.nan_to_num(np.asarray(sky["ghi"])), 0.0)


def under_cloud(clear: ArrayLike, cloud: ArrayLike) -> Array:
    """Shortwave under a cloud cover [W m-2]. Reference: Kasten and Czeplak (1980), from memory.

    Args:
        clear [W m-2]: clear-sky radiation; cloud [1]: share of the sky under cloud.
    """
    shade = 1.0 - CLOUD_LOSS * np.clip(np.asarray(cloud, dtype=np.float64), 0.0, 1.0) ** CLOUD_POWER
    return np.asarray(clear, dtype=np.float64) * shade


def day_from_range(
    daily_range: ArrayLike, clear_day: ArrayLike, precipitation: ArrayLike = 0.0, *, near_water: bool = False
) -> Array:
    """Radiation of a day, in the unit of `clear_day`, from the day's range of temperature [K] and its precipitation
    [kg m-2].

    The wider the range, the clearer the day; fronts give a wet day a range without sun, so its share is smaller.
    Near large water ranges are small whatever the clouds, which `near_water` makes up for; on slopes too, which nothing
    does: there the sun is underrated.

    Args:
        daily_range, clear_day, precipitation (day): clear_day is what a clear sky would give.
        near_water: the air comes off a sea or a large lake close by.
    Reference: after Hargreaves and Samani (1982), with winter coefficients.
    """
    root = np.sqrt(np.maximum(np.asarray(daily_range, dtype=np.float64), 0.0))
    wet = np.sqrt(np.maximum(np.asarray(precipitation, dtype=np.float64), 0.0))
    share = (
        (LEAST_OF_RANGE + OF_RANGE * root) / (1.0 + RAIN_DARKENS * wet) * (NEAR_WATER if near_water else 1.0)
    )
    return np.clip(share, LEAST_SHARE, LARGEST_SHARE) * np.asarray(clear_day, dtype=np.float64)


def hours_of_day_sum(day_mean: Array, clear: Array, days: NDArray[np.int64]) -> Array:
    """Hourly shortwave [W m-2] of days of which the mean is known: the clear-sky curve, scaled.

    Args:
        day_mean (day) [W m-2]: mean over the 24 hours of each day of `days`, in ascending order of day.
        clear (time) [W m-2]; days (time): number of each hour's day.
    """
    _, index = np.unique(days, return_inverse=True)
    count = np.bincount(index)
    clear_mean = np.bincount(index, weights=clear) / np.maximum(count, 1)
    with np.errstate(invalid="ignore"):
        share = np.where(clear_mean > LEAST_CLEAR, day_mean / np.maximum(clear_mean, LEAST_CLEAR), 1.0)
    return np.clip(share, 0.0, LARGEST_CLEARNESS)[index] * clear


def sun_of_date(shortwave: Array, clear_there: Array, clear_here: Array) -> Array:
    """Shortwave [W m-2] under the clouds of another date and the sun of this one."""
    share = shortwave / np.maximum(clear_there, LEAST_CLEAR)
    return np.where(clear_there > LEAST_CLEAR, np.minimum(share, LARGEST_CLEARNESS), 1.0) * clear_here
