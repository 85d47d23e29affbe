"""Conductance between neighbouring nodes: snow, ice, covers, leaves, mat and soil in series."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.ice import ice_mass
from winterrisk.column.snow import snow_conductivity
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import CONDUCTIVITY_ICE, DENSITY_ICE, DENSITY_WATER

DEPTHS = at.DEPTHS
STIRRED = 2.0
"""Conductivity of shallow ponded water, stirred [W m-1 K-1] (judged)."""
PRESSING = 20.0
"""Snow water that presses and wets leaves fully [kg m-2] (judged)."""


@njit_unasked
def leaf_resistance(snow: float, pond: float, p: NDArray[np.float64]) -> float:
    """Resistance of the leaves [m2 K W-1]: whole when dry, pressed under snow, drowned in water."""
    pressed = min(1.0, snow / PRESSING)
    drowned = pond / (pond + 3.0)
    return p[par.LEAF] / (1.0 + (p[par.LEAF_PRESSED] - 1.0) * max(pressed, drowned))


@njit_unasked
def ground_conductivity(layer: NDArray[np.float64], mass: float, liquid: float) -> float:
    """Conductivity of mat or soil [W m-1 K-1] from water and ice in its pores.

    Reference: Cote and Konrad (2005), normalised form k S / (1 + (k - 1) S), from memory.
    """
    s = min(1.0, mass / layer[at.PORE])
    wet, frozen = layer[at.SHAPE_WET], layer[at.SHAPE_FROZEN]
    k = 0.0
    if liquid > 0.0:
        k += liquid * (layer[at.K_WET] - layer[at.K_DRY]) * wet * s / (1.0 + (wet - 1.0) * s)
    if liquid < 1.0:
        k += (1.0 - liquid) * (layer[at.K_FROZEN] - layer[at.K_DRY]) * frozen * s / (1.0 + (frozen - 1.0) * s)
    return k + layer[at.K_DRY]


@njit_unasked
def conductances(
    first: int,
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    p: NDArray[np.float64],
    liquid: NDArray[np.float64],
    link: NDArray[np.float64],
) -> None:
    """Writes the conductance [W m-2 K-1] of each node to the node above, or to the surface from the top node.

    In a freezing pond the node stays at 0 degC at the base of the ice, so the whole ice lies between it
    and the air; once
    frozen through, half of it.
    """
    resistance = 0.0
    snow = 0.0
    cover = state[at.COVER_R]
    if first < at.SNOW:
        for k in range(3):
            thick = max(1e-5, state[at.THICK + k])
            mass = state[at.MASS + k]
            snow += mass
            half = 0.5 * thick / snow_conductivity(min(900.0, mass / thick))
            link[k] = 1.0 / (resistance + half)
            resistance = half
    resistance += cover
    pond = state[at.MASS + at.POND]
    if pond > 0.0:
        ice = ice_mass(state)
        solid = ice / pond
        through = ice / DENSITY_ICE / CONDUCTIVITY_ICE
        water = (pond - ice) / DENSITY_WATER / STIRRED
        frozen_through = solid**8
        above = through * (1.0 - 0.5 * frozen_through) + (1.0 - solid) * 0.5 * water
        link[at.POND] = 1.0 / (resistance + above + 1e-4)
        resistance = 0.5 * through * frozen_through + 0.5 * water
    resistance += leaf_resistance(snow, pond, p)
    for j in range(at.LAYERS):
        k = ground_conductivity(layers[j], state[at.MASS + at.TURF + j], liquid[j])
        half = 0.5 * DEPTHS[j] / k
        link[at.TURF + j] = 1.0 / (resistance + half)
        resistance = half
