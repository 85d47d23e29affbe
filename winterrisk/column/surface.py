"""The surface and the air: sun, sky, wind and vapour at the top of whatever lies there."""

import numpy as np

from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import (
    GAS_CONSTANT_DRY_AIR,
    GRAVITY,
    HEAT_AIR,
    LATENT_SUBLIMATION,
    LATENT_VAPORISATION,
    MAGNUS_ICE,
    MAGNUS_PRESSURE,
    MAGNUS_WATER,
    STEFAN_BOLTZMANN,
    VAPOUR_MASS_RATIO,
    VON_KARMAN,
    ZERO_CELSIUS,
)

EMISSIVITY = 0.985
"""Longwave emissivity of snow, ice and grass [1] (0.95-0.99, from memory)."""
HEAT_ROUGHNESS = 0.1
"""Roughness for heat over that for wind [1] (common practice)."""
LOUIS = 5.0
"""Coefficient of the stability function [1] (Louis et al. 1982)."""
LEAST_WIND = 0.3
"""Wind below which nothing is resolved [m s-1] (judged)."""
A_ICE, B_ICE = MAGNUS_ICE
A_WATER, B_WATER = MAGNUS_WATER


@njit_unasked
def saturation(t: float) -> tuple[float, float]:
    """Saturation vapour pressure [hPa] over ice below 0 degC, else water, and its slope [hPa K-1]."""
    if t < 0.0:
        e = MAGNUS_PRESSURE * np.exp(A_ICE * t / (B_ICE + t))
        return e, e * A_ICE * B_ICE / (B_ICE + t) ** 2
    e = MAGNUS_PRESSURE * np.exp(A_WATER * t / (B_WATER + t))
    return e, e * A_WATER * B_WATER / (B_WATER + t) ** 2


@njit_unasked
def neutral_exchange(height: float, roughness: float) -> tuple[float, float]:
    """Neutral exchange coefficient for heat [1] and that for momentum [1], both at one height [m]."""
    wind = VON_KARMAN / np.log(height / roughness)
    return wind * VON_KARMAN / np.log(height / (HEAT_ROUGHNESS * roughness)), wind * wind


@njit_unasked
def stability(
    air: float, surface: float, wind: float, height: float, roughness: float, momentum: float
) -> float:
    """Factor on the neutral exchange [1], below one where the surface is colder than the air.

    Wind and air temperature are those of one height: a 10 m wind with a 2 m temperature would make the
    layer look far
    too stable, and warm air could not melt snow.

    Reference: Louis et al. (1982) in the form of the Factorial Snow Model.
    """
    richardson = GRAVITY * (air - surface) * height / ((air + ZERO_CELSIUS) * wind * wind)
    if richardson > 0.0:
        return 1.0 / (1.0 + 3.0 * LOUIS * richardson * np.sqrt(1.0 + LOUIS * richardson))
    mixing = 3.0 * LOUIS**2 * momentum * np.sqrt(-richardson * height / roughness)
    return 1.0 - 3.0 * LOUIS * richardson / (1.0 + mixing)


@njit_unasked
def calm_floor(air: float, least: float) -> float:
    """Least exchange [W m-2 K-1]: whole in frost, fading to none in air above 2 degC, where it would feed
    melt."""
    return least * min(1.0, max(0.0, (2.0 - air) / 3.0))


@njit_unasked
def surface_balance(
    ts: float,
    air: float,
    vapour: float,
    pressure: float,
    radiation: float,
    exchange: float,
    wetness: float,
    frozen: bool,
) -> tuple[float, float, float, float]:
    """Heat into the surface [W m-2], its slope [W m-2 K-1], and latent heat into it with its slope.

    Args:
        ts [degC]: surface temperature. air [degC]. vapour, pressure [hPa].
        radiation [W m-2]: absorbed sun plus absorbed longwave.
        exchange [m s-1]: transfer velocity of heat and vapour.
        wetness [1]: share of the potential evaporation that is supplied.
        frozen: snow or ice lies at the surface.
    """
    e, slope = saturation(ts)
    density = 100.0 * pressure / (GAS_CONSTANT_DRY_AIR * (air + ZERO_CELSIUS))
    latent = LATENT_SUBLIMATION if frozen or ts < 0.0 else LATENT_VAPORISATION
    supplied = 1.0 if vapour > e else wetness
    sensible = density * HEAT_AIR * exchange
    moist = density * latent * exchange * supplied * VAPOUR_MASS_RATIO / pressure
    kelvin = ts + ZERO_CELSIUS
    cubed = EMISSIVITY * STEFAN_BOLTZMANN * kelvin**3
    vapour_heat = moist * (vapour - e)
    return (
        radiation - cubed * kelvin + sensible * (air - ts) + vapour_heat,
        -(4.0 * cubed + sensible + moist * slope),
        vapour_heat,
        -moist * slope,
    )
