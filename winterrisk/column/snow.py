"""Snow on the turf: what falls, settles, ages, blows off, holds and lets through."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import DENSITY_ICE, DENSITY_WATER, GRAVITY, HEAT_WATER, LATENT_FUSION

BASE = 0.03
"""Thickness of the basal layer [m]: keeps slush and refrozen melt apart from the rest."""
TOP = 0.05
"""Thickness of the top layer [m]."""
NEW_SETTLING = 0.003
"""Settling of cold new snow by itself [h-1] (judged: 0.01 in Anderson 1976, whose load presses less)."""
NEW_UNTIL = 150.0
"""Density up to which new snow does so fully [kg m-3] (Anderson 1976)."""
LEAST = 1e-6
"""Snow below this joins the water on the turf [kg m-2]."""


@njit_unasked
def settled(
    thickness: float, load: float, density: float, temperature: float, wet: float, factor: float
) -> float:
    """Thickness after an hour under `load` [kg m-2], m: the load presses it, and crystals of new snow lose their arms.

    Args:
        wet [1]: liquid water by volume.

    Reference: Vionnet et al. (2012), Crocus form, for the load; Anderson (1976) for new snow.
    """
    viscosity = factor * 7.62237e6 * density / 250.0 * np.exp(-0.1 * temperature + 0.023 * density)
    viscosity /= 1.0 + 60.0 * wet
    rate = GRAVITY * load / viscosity * 3600.0
    rounding = np.exp(0.04 * temperature - 0.046 * max(0.0, density - NEW_UNTIL))
    rate += NEW_SETTLING * (2.0 if wet > 0.0 else 1.0) * rounding
    return thickness / (1.0 + rate)


@njit_unasked
def snow_conductivity(density: float) -> float:
    """[W m-1 K-1]. Reference: Calonne et al. (2011)."""
    return 2.5e-6 * density * density - 1.23e-4 * density + 0.024


@njit_unasked
def aged_albedo(albedo: float, snowfall: float, wet: float, p: NDArray[np.float64]) -> float:
    """Albedo of the snow after an hour [1]: old snow darkens, 10 mm of fresh snow renews it.

    Args:
        snowfall [kg m-2 h-1]: new snow. wet [1]: 0 for cold snow, 1 for melting.

    Reference: Essery (2015), exact update.
    """
    old = wet / p[par.ALBEDO_WET] + (1.0 - wet) / p[par.ALBEDO_COLD]
    fresh = snowfall / 10.0
    rate = old + fresh
    limit = (p[par.ALBEDO_OLD] * old + p[par.ALBEDO_FRESH] * fresh) / rate
    return albedo + (limit - albedo) * (1.0 - np.exp(-rate))


@njit_unasked
def blown_share(wind: float, temperature: float, exposed: float, rate: float) -> float:
    """Share of loose top snow lost in the hour [1] from an exposed zone.

    Reference: threshold wind of dry snow after Li and Pomeroy (1997); the rate is judged.
    """
    threshold = 9.43 + 0.18 * temperature + 0.0033 * temperature * temperature
    return min(0.5, exposed * rate * max(0.0, wind / threshold - 1.0))


@njit_unasked
def caught_share(temperature: float, wind: float) -> float:
    """Share of the snow that a gauge without a shield catches [1], less in wind and cold.

    Args:
        temperature [degC]: of the air; wind [m s-1]: at the gauge's orifice, the formula holds to 7.2.

    Reference: Kochendorfer et al. (2017), Hydrol. Earth Syst. Sci. 21, gauge height, from memory.
    """
    return np.exp(-0.0785 * min(wind, 7.2) * (1.407 - np.arctan(0.729 * temperature)))


@njit_unasked
def relayer(state: NDArray[np.float64], scratch: NDArray[np.float64]) -> None:
    """Moves the three snow layers to their set thicknesses; mass and heat are kept."""
    depth = state[at.THICK] + state[at.THICK + 1] + state[at.THICK + 2]
    base = min(BASE, depth / 3.0)
    top = min(TOP, depth / 3.0)
    for k in range(3):
        scratch[k] = top if k == 0 else (depth - top - base if k == 1 else base)
        scratch[3 + k] = 0.0
        scratch[6 + k] = 0.0
    old = 0
    left = state[at.THICK]
    for k in range(3):
        want = scratch[k]
        while old < 3:
            whole = state[at.THICK + old]
            part = left if (left <= want or (k == 2)) else want
            if whole > 0.0:
                share = part / whole
                scratch[3 + k] += share * state[at.MASS + old]
                scratch[6 + k] += share * state[at.HEAT + old]
            want -= part
            left -= part
            if left > 0.0:
                break
            old += 1
            if old < 3:
                left = state[at.THICK + old]
    for k in range(3):
        state[at.THICK + k] = scratch[k]
        state[at.MASS + k] = scratch[3 + k]
        state[at.HEAT + k] = scratch[6 + k]


@njit_unasked
def percolated(state: NDArray[np.float64], retention: float) -> tuple[float, float]:
    """Water leaving the base of the snow [kg m-2] and its heat [J m-2]; each layer keeps what its pores
    hold."""
    water = 0.0
    heat = 0.0
    for k in range(3):
        state[at.MASS + k] += water
        state[at.HEAT + k] += heat
        mass = state[at.MASS + k]
        water = 0.0
        heat = 0.0
        if mass <= 0.0 or state[at.HEAT + k] <= 0.0:
            continue
        liquid = state[at.HEAT + k] / LATENT_FUSION
        if liquid >= mass:
            water, heat = mass, state[at.HEAT + k]
            state[at.MASS + k] = 0.0
            state[at.HEAT + k] = 0.0
            state[at.THICK + k] = 0.0
            continue
        pores = max(0.0, state[at.THICK + k] - (mass - liquid) / DENSITY_ICE)
        water = max(0.0, liquid - retention * DENSITY_WATER * pores)
        heat = LATENT_FUSION * water
        state[at.MASS + k] -= water
        state[at.HEAT + k] -= heat
    return water, heat


@njit_unasked
def water_heat(temperature: float) -> float:
    """Heat carried by liquid water [J kg-1] against ice at 0 degC."""
    return LATENT_FUSION + HEAT_WATER * temperature
