"""Longwave radiation from the sky, clear and cloudy, and the cloud that the sun or the humidity tells of."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.science.air import kelvin, vapour_pressure_water
from winterrisk.science.constants import STEFAN_BOLTZMANN
from winterrisk.weather.solar import LEAST_CLEAR

Array = NDArray[np.float64]

WATER_FACTOR: Final = 46.5
"""Precipitable water over vapour pressure by temperature [g cm-2 K hPa-1] (Prata 1996)."""
CLOUD_EMISSION: Final = 0.84
"""Unsworth and Monteith (1975)."""
SUN_LOST_OVERCAST: Final = 0.75
"""Share of the clear-sky radiation that a full cover takes (Kasten and Czeplak 1980, from memory)."""
HUMIDITY_CLEAR, HUMIDITY_RANGE = 0.55, 0.45
"""Daily mean humidity up to which the sky counts as clear, and the rise to overcast [1] (judged; scored on
one alpine site: 22 W m-2 daily error against 17 from the sun)."""
DAY_STARTS: Final = 6.0
"""Solar hour at which a day's cloud begins; it is held through the night after [h] (judged)."""
DAY_SEEN: Final = 0.2
"""Share of a day's clear-sky radiation that must have been seen before its cloud is judged by it (judged)."""


def precipitable_water(vapour_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Water in the air above [g cm-2 = 10 kg m-2] from vapour pressure [hPa] and temperature [degC]. Prata
    (1996)."""
    return WATER_FACTOR * np.asarray(vapour_pressure, dtype=np.float64) / kelvin(temperature)


def clear_emissivity_prata96(vapour_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Emissivity of a clear sky [1]. Reference: Prata (1996), Q. J. R. Meteorol. Soc. 122.

    Args:
        vapour_pressure [hPa], temperature [degC]: at screen height.
    """
    w = precipitable_water(vapour_pressure, temperature)
    return 1.0 - (1.0 + w) * np.exp(-np.sqrt(1.2 + 3.0 * w))


def clear_longwave_dilley98(vapour_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Longwave of a clear sky [W m-2]. Reference: Dilley and O'Brien (1998), Q. J. R. Meteorol. Soc. 124."""
    w = 10.0 * precipitable_water(vapour_pressure, temperature)
    return 59.38 + 113.7 * (kelvin(temperature) / 273.16) ** 6 + 96.96 * np.sqrt(w / 25.0)


def clear_emissivity_brutsaert75(vapour_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Emissivity of a clear sky [1]. Reference: Brutsaert (1975), Water Resour. Res. 11 (from memory)."""
    return 1.24 * (np.asarray(vapour_pressure, dtype=np.float64) / kelvin(temperature)) ** (1.0 / 7.0)


def black_body(temperature: ArrayLike) -> Array:
    """Radiation of a black body [W m-2] at a temperature [degC]."""
    return STEFAN_BOLTZMANN * kelvin(temperature) ** 4


def cloudy_emissivity(clear_emissivity: ArrayLike, cloud: ArrayLike) -> Array:
    """Emissivity of the sky [1] with a share `cloud` [1] of it covered. Reference: Unsworth and Monteith
    (1975)."""
    c = CLOUD_EMISSION * np.clip(np.asarray(cloud, dtype=np.float64), 0.0, 1.0)
    return (1.0 - c) * np.asarray(clear_emissivity, dtype=np.float64) + c


def longwave_down(temperature: ArrayLike, dew_point: ArrayLike, cloud: ArrayLike) -> Array:
    """Longwave from the sky [W m-2]: Prata's clear sky under Unsworth and Monteith's cloud.

    Args:
        temperature, dew_point [degC]: at screen height; cloud [1]: share of the sky under cloud.
    """
    clear = clear_emissivity_prata96(vapour_pressure_water(dew_point), temperature)
    return cloudy_emissivity(clear, cloud) * black_body(temperature)


def cloud_from_sun(shortwave: Array, clear: Array, days: NDArray[np.int64]) -> Array:
    """Cloud cover (time) [1] from each day's sun, held through the night after; NaN where no sun has told.

    A day of which little has been seen takes the cloud of the day before.

    Args:
        shortwave, clear (time) [W m-2]; days (time): number of each hour's day, counted from the morning.
    """
    _, index = np.unique(days, return_inverse=True)
    got, could = np.bincount(index, weights=shortwave), np.bincount(index, weights=clear)
    seen = could > 24.0 * LEAST_CLEAR
    with np.errstate(invalid="ignore", divide="ignore"):
        cloud = np.where(seen, np.clip((1.0 - got / could) / SUN_LOST_OVERCAST, 0.0, 1.0), np.nan)
    hardly_begun = could[1:] < DAY_SEEN * could[:-1]
    cloud[1:] = np.where(hardly_begun & seen[:-1], cloud[:-1], cloud[1:])
    return cloud[index]


def cloud_from_humidity(relative_humidity: Array, days: NDArray[np.int64]) -> Array:
    """Cloud cover (time) [1] from each day's mean relative humidity over water [1]."""
    _, index = np.unique(days, return_inverse=True)
    mean = np.bincount(index, weights=relative_humidity) / np.maximum(np.bincount(index), 1)
    return np.clip((mean - HUMIDITY_CLEAR) / HUMIDITY_RANGE, 0.0, 1.0)[index]


def cloud_of_day(shortwave: Array, clear: Array, relative_humidity: Array, days: NDArray[np.int64]) -> Array:
    """Cloud cover (time) [1]: the larger of what the day's sun and its humidity say; humidity alone in polar
    night."""
    return np.fmax(cloud_from_sun(shortwave, clear, days), cloud_from_humidity(relative_humidity, days))
