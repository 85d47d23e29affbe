"""Water and ice on the turf: ponding, runoff, white ice from slush, the gap that opens, the seal."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import DENSITY_ICE, DENSITY_WATER, LATENT_FUSION

FILM = 0.4
"""Water a surface keeps even where nothing ponds [kg m-2] (judged)."""
STORE_AIR = 20.0
"""Air the soil store of the table stands for: 10 cm at 20 % [mm]."""
COVER_AIR = 10.0
"""Air under a laid impermeable cover [mm] (judged)."""
OPEN_PORES = 0.05
"""Air in the crown zone below which it is shut [1] (reasoned; faded over 0.02-0.08)."""


SPECK = 1e-10
"""Ice that is no more than rounding [kg m-2]."""


@njit_unasked
def ramp(x: float, low: float, high: float) -> float:
    """0 below low, 1 above high, smooth between."""
    u = min(1.0, max(0.0, (x - low) / (high - low)))
    return u * u * (3.0 - 2.0 * u)


@njit_unasked
def ice_mass(state: NDArray[np.float64]) -> float:
    """Ice on the turf [kg m-2]."""
    mass = state[at.MASS + at.POND]
    ice = mass - min(mass, max(0.0, state[at.HEAT + at.POND] / LATENT_FUSION))
    return ice if ice > SPECK else 0.0


@njit_unasked
def white_share(state: NDArray[np.float64]) -> float:
    """White part of the ice sheet [1]."""
    ice = ice_mass(state)
    return min(1.0, state[at.WHITE] / ice) if ice > 0.0 else 0.0


@njit_unasked
def storage(state: NDArray[np.float64], p: NDArray[np.float64]) -> float:
    """Liquid water the zone still holds on its surface [kg m-2]: its hollow less the ice that fills it."""
    hollow = p[par.STORAGE] * p[par.STORAGE_FACTOR] * state[at.STORE]
    room = hollow - ice_mass(state)
    return max(0.0, room) + FILM


@njit_unasked
def ran_off(state: NDArray[np.float64], p: NDArray[np.float64]) -> tuple[float, float]:
    """Takes water above the storage off the zone: water [kg m-2] and heat [J m-2] gone in the hour."""
    mass = state[at.MASS + at.POND]
    if mass <= 0.0:
        return 0.0, 0.0
    liquid = min(mass, max(0.0, state[at.HEAT + at.POND] / LATENT_FUSION))
    above = liquid - storage(state, p)
    if above <= 0.0:
        return 0.0, 0.0
    hours = p[par.RUNOFF_HOURS] * 0.01 / max(p[par.SLOPE], 0.002)
    gone = above * (1.0 - np.exp(-1.0 / hours))
    heat = gone * (LATENT_FUSION if liquid < mass else state[at.HEAT + at.POND] / mass)
    state[at.MASS + at.POND] -= gone
    state[at.HEAT + at.POND] -= heat
    return gone, heat


@njit_unasked
def frozen_in(before: float, state: NDArray[np.float64]) -> None:
    """Keeps the white share, and takes base snow into the ice where water froze in its pores.

    Water standing in snow of density rho freezes with rho / (1 - rho/917) / 1000 of its own mass of snow:
    white ice.

    Args:
        before [kg m-2]: ice before the hour's heat.
    """
    after = ice_mass(state)
    if after < before:
        state[at.WHITE] *= after / before
        return
    grown = after - before
    base = at.SNOW - 1
    snow, thick = state[at.MASS + base], state[at.THICK + base]
    if grown <= 0.0 or snow <= 0.0 or thick <= 0.0:
        return
    density = min(snow / thick, 700.0)
    wanted = grown * density / (DENSITY_WATER * (1.0 - density / DENSITY_ICE))
    share = min(0.9, wanted / snow)
    moved = share * snow
    heat = share * state[at.HEAT + base]
    state[at.MASS + base] -= moved
    state[at.HEAT + base] -= heat
    state[at.THICK + base] *= 1.0 - share
    state[at.MASS + at.POND] += moved
    state[at.HEAT + at.POND] += heat
    state[at.WHITE] = min(state[at.WHITE] + grown * ramp(moved / grown, 0.0, 0.2) + moved, ice_mass(state))


@njit_unasked
def opened(gap: float, melted_below: float, water: float, ice: float, seal: float) -> float:
    """Air gap between ice and turf [kg m-2 of melt that left].

    Grows by melt at the turf where the water finds a way out; water standing again under the ice closes it.

    Args:
        melted_below [kg m-2]: melted at the turf in the hour. water [kg m-2]: standing with the ice.
        ice [kg m-2]: the sheet. seal [kg m-2]: ice that seals.
    """
    if ice < 0.05 * seal:
        return 0.0
    drained = melted_below * (1.0 - ramp(water, 0.5, 3.0))
    return (gap + drained) * (1.0 - 0.5 * ramp(water, 1.5, 4.0))


@njit_unasked
def seals(
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    p: NDArray[np.float64],
    crown: float,
    liquid: NDArray[np.float64],
) -> tuple[float, float, float]:
    """How far the turf is shut [1] by ice on contact, by a saturated frozen crown, by a cover."""
    by_ice = ramp(ice_mass(state), 0.6 * p[par.SEAL], 1.4 * p[par.SEAL])
    by_ice *= 1.0 - ramp(state[at.GAP], 0.67 * p[par.GAP_OPEN], 1.33 * p[par.GAP_OPEN])
    pore = layers[0, at.PORE] + layers[1, at.PORE]
    mass = state[at.MASS + at.TURF] + state[at.MASS + at.TURF + 1]
    ice = state[at.MASS + at.TURF] * (1.0 - liquid[0]) + state[at.MASS + at.TURF + 1] * (1.0 - liquid[1])
    air = (pore - mass - ice * (DENSITY_WATER / DENSITY_ICE - 1.0)) / DENSITY_WATER
    air /= at.DEPTHS[0] + at.DEPTHS[1]
    shut = 1.0 - ramp(air, OPEN_PORES - 0.03, OPEN_PORES + 0.03)
    by_crown = shut * (1.0 - ramp(crown, -0.1, 0.5))
    by_cover = state[at.COVER_SEALS]
    if state[at.VENTED] > 0.0:
        return 0.0, 0.0, 0.0
    return by_ice, by_crown, by_cover


@njit_unasked
def air_days(
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    p: NDArray[np.float64],
    liquid: NDArray[np.float64],
) -> float:
    """Days the air shut in with the crowns lasts at 0 degC [d]: the top 10 cm of pores, half a day at
    least."""
    air = 0.0
    near = 0.0
    for j in range(5):
        ice = state[at.MASS + at.TURF + j] * (1.0 - liquid[j])
        free = layers[j, at.PORE] - state[at.MASS + at.TURF + j] - (DENSITY_WATER / DENSITY_ICE - 1.0) * ice
        air += max(0.0, free) * (1.0 if j < 4 else 0.5)
        if j < 3:
            near += max(0.0, free)
    near /= DENSITY_WATER * (at.DEPTHS[0] + at.DEPTHS[1] + at.DEPTHS[2])
    days = p[par.STORE_SOIL] * (air + COVER_AIR * state[at.COVER_SEALS]) / STORE_AIR
    contact = ramp(ice_mass(state), 0.6 * p[par.SEAL], 1.4 * p[par.SEAL]) * (1.0 - ramp(near, 0.05, 0.25))
    return p[par.STORE_CONTACT] + (1.0 - contact) * min(days, 2.0 * p[par.STORE_SOIL])
