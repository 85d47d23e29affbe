"""Water vapour in air: pressure, dew point, wet bulb, and how much of the precipitation is snow."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.science.constants import (
    MAGNUS_ICE,
    MAGNUS_PRESSURE,
    MAGNUS_WATER,
    PSYCHROMETER_WATER,
    STANDARD_PRESSURE,
    ZERO_CELSIUS,
)

Array = NDArray[np.float64]

SNOW_SHARE_SCALE = 6.99e-5
SNOW_SHARE_RATE = 2.0
SNOW_SHARE_OFFSET = 3.97
"""Wang et al. (2019), Geophys. Res. Lett.: coefficients from memory."""
SMALLEST_SHARE = 0.02
"""Shares of rain or snow below this are cut: the smooth curve never reaches zero (judged)."""
NEWTON_STEPS = 5


def vapour_pressure_water(temperature: ArrayLike) -> Array:
    """Saturation vapour pressure over water [hPa] (Magnus form, -45..60 degC).

    Args:
        temperature [degC]: air temperature or dew point.
    Reference: WMO-No. 8 (from memory).
    """
    t = np.asarray(temperature, dtype=np.float64)
    a, b = MAGNUS_WATER
    return MAGNUS_PRESSURE * np.exp(a * t / (b + t))


def vapour_pressure_ice(temperature: ArrayLike) -> Array:
    """Saturation vapour pressure over ice [hPa] (Magnus form, -65..0 degC).

    Reference: WMO-No. 8 (from memory).
    """
    t = np.asarray(temperature, dtype=np.float64)
    a, b = MAGNUS_ICE
    return MAGNUS_PRESSURE * np.exp(a * t / (b + t))


def vapour_pressure_ice_reference(temperature_kelvin: ArrayLike) -> Array:
    """Saturation vapour pressure over ice [Pa], accurate from 110 K to the melting point.

    Reference: Murphy and Koop (2005), eq. 7.
    """
    t = np.asarray(temperature_kelvin, dtype=np.float64)
    return np.exp(9.550426 - 5723.265 / t + 3.53068 * np.log(t) - 0.00728332 * t)


def dew_point(vapour_pressure: ArrayLike) -> Array:
    """Dew point over water [degC] of a vapour pressure [hPa]: the Magnus form turned round."""
    ratio = np.log(np.asarray(vapour_pressure, dtype=np.float64) / MAGNUS_PRESSURE)
    a, b = MAGNUS_WATER
    return b * ratio / (a - ratio)


def dew_point_from_humidity(temperature: ArrayLike, relative_humidity: ArrayLike) -> Array:
    """Dew point [degC] from air temperature [degC] and relative humidity over water [fraction]."""
    humidity = np.clip(np.asarray(relative_humidity, dtype=np.float64), 0.01, 1.0)
    return dew_point(humidity * vapour_pressure_water(temperature))


def pressure_at_height(height: ArrayLike) -> Array:
    """Air pressure [hPa] of the standard atmosphere at a height [m] above the sea (below 11 km)."""
    return STANDARD_PRESSURE * (1 - 2.25577e-5 * np.asarray(height, dtype=np.float64)) ** 5.2559


def wet_bulb(temperature: ArrayLike, vapour_pressure: ArrayLike, pressure: ArrayLike) -> Array:
    """Wet-bulb temperature [degC] by solving the psychrometer equation.

    e_w(t_w) - A p (t - t_w) = e, five Newton steps from t_w = t; never above the air temperature.

    Args:
        temperature [degC], vapour_pressure [hPa], pressure [hPa].
    """
    t = np.asarray(temperature, dtype=np.float64)
    e = np.minimum(np.asarray(vapour_pressure, dtype=np.float64), vapour_pressure_water(t))
    ap = PSYCHROMETER_WATER * np.asarray(pressure, dtype=np.float64)
    a, b = MAGNUS_WATER
    wet = np.array(np.broadcast_arrays(t, e, ap)[0], dtype=np.float64)
    for _ in range(NEWTON_STEPS):
        saturation = vapour_pressure_water(wet)
        slope = saturation * a * b / (b + wet) ** 2 + ap
        wet = wet - (saturation - ap * (t - wet) - e) / slope
    return wet


def snow_fraction(wet_bulb_temperature: ArrayLike) -> Array:
    """Share of precipitation that falls as snow [1] from the wet-bulb temperature [degC].

    A logistic curve, one half at 0.81 degC; shares under 2 % are cut.
    Reference: Wang et al. (2019), Geophys. Res. Lett.; coefficients from memory.
    """
    wet = np.asarray(wet_bulb_temperature, dtype=np.float64)
    exponent = np.clip(SNOW_SHARE_RATE * (wet + SNOW_SHARE_OFFSET), -50.0, 50.0)
    share = 1.0 / (1.0 + SNOW_SHARE_SCALE * np.exp(exponent))
    share = np.where(share < SMALLEST_SHARE, 0.0, share)
    return np.where(share > 1.0 - SMALLEST_SHARE, 1.0, share)


def kelvin(temperature: ArrayLike) -> Array:
    """Absolute temperature [K] of a temperature [degC]."""
    return np.asarray(temperature, dtype=np.float64) + ZERO_CELSIUS
