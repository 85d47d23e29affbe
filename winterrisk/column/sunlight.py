"""Where the sun ends: in snow, in ice, on a cover, on the leaves or below them."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.ice import ice_mass, white_share
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import DENSITY_ICE

COVER_ALBEDO = 0.15
"""Albedo of a laid cover [1] (judged: green or black cloth)."""
DARK_SAND = 0.6
"""Share of the albedo of snow or ice that dark sand takes away [1] (judged)."""


@njit_unasked
def absorbed_sun(
    state: NDArray[np.float64],
    sun: float,
    snow_cover: float,
    p: NDArray[np.float64],
    source: NDArray[np.float64],
) -> float:
    """Sun absorbed at the surface [W m-2]; what ends in the ice and at the turf goes into `source` [J m-2].

    Clear ice passes most of the sun to the turf and melts from below; white ice does not.
    """
    source[at.POND] = 0.0
    source[at.TURF] = 0.0
    if sun <= 0.0:
        return 0.0
    bright = 1.0 - DARK_SAND * state[at.DARK]
    at_surface = snow_cover * sun * (1.0 - state[at.ALBEDO] * bright)
    bare = (1.0 - snow_cover) * sun
    if state[at.COVER_R] > 0.0:
        bare *= 1.0 - COVER_ALBEDO
        source[at.TURF] = 3600.0 * bare * state[at.COVER_SUN]
        return at_surface + bare * (1.0 - state[at.COVER_SUN])
    ice = ice_mass(state)
    if ice > 0.0:
        white = white_share(state)
        albedo = p[par.ICE_CLEAR] + white * (p[par.ICE_WHITE] - p[par.ICE_CLEAR])
        thin = ice / (ice + 1.0)
        albedo = (thin * albedo + (1.0 - thin) * p[par.TURF_ALBEDO]) * bright
        loss = p[par.EXTINCTION_CLEAR] + white * (p[par.EXTINCTION_WHITE] - p[par.EXTINCTION_CLEAR])
        through = np.exp(-loss * ice / DENSITY_ICE)
        into = 3600.0 * bare * (1.0 - albedo)
        source[at.POND] = into * (1.0 - through)
        source[at.TURF] = into * through
        return at_surface
    into = bare * (1.0 - p[par.TURF_ALBEDO])
    source[at.TURF] = 3600.0 * into * p[par.SUN_BELOW]
    return at_surface + into * (1.0 - p[par.SUN_BELOW])
