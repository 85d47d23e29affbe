"""Water in the ground: what enters, passes, is held and evaporates, with ice in the way."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.snow import water_heat
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import HEAT_ICE, LATENT_FUSION

DORMANT_SUPPLY, GROWING_SUPPLY = 0.002, 0.014
"""Conductance of turf for vapour, dormant at 0 degC and growing at 10 degC [m s-1] (70 s m-1 for the
reference grass of
FAO-56; dormant judged)."""
READILY = 0.5
"""Share of the held water that roots take without stress [1] (FAO-56, 0.4-0.5 for turf)."""
IRRIGATED_TO = 0.8
"""Share of the held water to which irrigation keeps a root zone [1] (judged)."""
IRRIGATED_HOURS = 24.0
"""Hours in which irrigation makes up what is missing [h] (judged)."""
SHUT = 0.90
"""Share of the pores in ice at which no water passes [1] (0.85-0.9, from memory)."""


@njit_unasked
def passed(mass: float, liquid: float, layer: NDArray[np.float64], impedance: float) -> float:
    """Water a layer lets through in an hour when wet [kg m-2], less with ice in its pores.

    Reference: impedance form of Lundin (1990) and Hansson (2004), closed smoothly at nine tenths of ice.
    """
    ice = mass * (1.0 - liquid)
    if ice <= 0.0:
        return layer[at.CONDUCT]
    share = ice / layer[at.PORE]
    open_share = max(0.0, 1.0 - share / SHUT)
    volume = share * layer[at.POROSITY]
    return layer[at.CONDUCT] * open_share * open_share * 10.0 ** (-impedance * volume)


@njit_unasked
def soaked(
    offered: float,
    offered_heat: float,
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    p: NDArray[np.float64],
    temperature: NDArray[np.float64],
    liquid: NDArray[np.float64],
) -> tuple[float, float, float, float]:
    """Takes surface water into the ground and lets the wet layers drain.

    Each layer keeps what it holds against gravity and what its cold freezes at once; the rest passes at
    the rate its ice
    allows. A layer too full hands water back upwards.

    Args:
        offered [kg m-2], offered_heat [J m-2]: liquid water on the turf.

    Returns:
        Water taken from the turf (negative where water rose) and its heat; water and heat leaving below.
    """
    rate = passed(state[at.MASS + at.TURF], liquid[0], layers[0], p[par.IMPEDANCE])
    carry = offered * rate / (offered + rate) if offered > 0.0 and rate > 0.0 else 0.0
    carry_heat = offered_heat * carry / offered if offered > 0.0 else 0.0
    taken, taken_heat = carry, carry_heat
    for j in range(at.LAYERS):
        i = at.TURF + j
        free = state[at.MASS + i] * liquid[j] + carry
        state[at.MASS + i] += carry
        state[at.HEAT + i] += carry_heat
        carry = 0.0
        carry_heat = 0.0
        cold = 0.0
        t = temperature[i]
        if t < layers[j, at.FREEZING]:
            capacity = layers[j, at.DRY_HEAT] + state[at.MASS + i] * HEAT_ICE
            cold = capacity * (layers[j, at.FREEZING] - t) / LATENT_FUSION
        spare = min(free, state[at.MASS + i] - layers[j, at.FIELD]) - cold
        if spare <= 1e-6:
            continue
        rate = passed(state[at.MASS + i], liquid[j], layers[j], p[par.IMPEDANCE])
        if j + 1 < at.LAYERS:
            below = passed(state[at.MASS + i + 1], liquid[j + 1], layers[j + 1], p[par.IMPEDANCE])
            rate = min(rate, below)
        if rate <= 0.0:
            continue
        carry = spare * rate / (spare + rate)
        carry_heat = carry * water_heat(max(t, layers[j, at.FREEZING]))
        state[at.MASS + i] -= carry
        state[at.HEAT + i] -= carry_heat
    drained, drained_heat = carry, carry_heat
    for j in range(at.LAYERS - 1, -1, -1):
        i = at.TURF + j
        excess = state[at.MASS + i] - layers[j, at.PORE]
        if excess <= 0.0:
            continue
        heat = excess * water_heat(max(temperature[i], layers[j, at.FREEZING]))
        state[at.MASS + i] -= excess
        state[at.HEAT + i] -= heat
        if j > 0:
            state[at.MASS + i - 1] += excess
            state[at.HEAT + i - 1] += heat
        else:
            taken -= excess
            taken_heat -= heat
    return taken, taken_heat, drained, drained_heat


@njit_unasked
def watered(
    state: NDArray[np.float64], layers: NDArray[np.float64], temperature: NDArray[np.float64]
) -> tuple[float, float]:
    """Irrigation of the hour: refills the unfrozen root zone within about a day; water [kg m-2] and heat
    [J m-2] gained.

    Turf that nobody waters dries to wilting in a dry autumn; dry ground freezes through at once and its
    crowns follow the air. Without this a green in a dry country met each frost some 3 K too cold.
    """
    water = 0.0
    heat = 0.0
    for j in range(6):
        i = at.TURF + j
        wanted = layers[j, at.WILT] + IRRIGATED_TO * (layers[j, at.FIELD] - layers[j, at.WILT])
        short = wanted - state[at.MASS + i]
        if short > 0.0 and temperature[i] > 0.0:
            part = short / IRRIGATED_HOURS
            part_heat = part * water_heat(temperature[i])
            state[at.MASS + i] += part
            state[at.HEAT + i] += part_heat
            water += part
            heat += part_heat
    return water, heat


@njit_unasked
def supply(state: NDArray[np.float64], layers: NDArray[np.float64]) -> float:
    """Conductance of the turf for vapour [m s-1]: rises with warmth and the water roots can reach."""
    moist = 0.0
    for j in range(6):
        room = READILY * (layers[j, at.FIELD] - layers[j, at.WILT])
        moist += layers[j, at.ROOTS] * min(
            1.0, max(0.0, (state[at.MASS + at.TURF + j] - layers[j, at.WILT]) / room)
        )
    warm = min(1.0, max(0.0, state[at.CROWN_BEFORE] / 10.0))
    return moist * (DORMANT_SUPPLY + warm * (GROWING_SUPPLY - DORMANT_SUPPLY))


@njit_unasked
def drawn(
    wanted: float,
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    temperature: NDArray[np.float64],
    liquid: NDArray[np.float64],
) -> tuple[float, float]:
    """Takes evaporation from the rooted layers [kg m-2]; what was found and its heat [J m-2]."""
    found = 0.0
    heat = 0.0
    total = 0.0
    for j in range(6):
        total += layers[j, at.ROOTS] * max(
            0.0, state[at.MASS + at.TURF + j] * liquid[j] - layers[j, at.WILT] * 0.5
        )
    if total <= 0.0:
        return 0.0, 0.0
    for j in range(6):
        i = at.TURF + j
        ready = max(0.0, state[at.MASS + i] * liquid[j] - layers[j, at.WILT] * 0.5)
        part = min(0.5 * ready, wanted * layers[j, at.ROOTS] * ready / total)
        part_heat = part * water_heat(temperature[i])
        state[at.MASS + i] -= part
        state[at.HEAT + i] -= part_heat
        found += part
        heat += part_heat
    return found, heat
