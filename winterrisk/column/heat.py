"""Heat through snow, water, mat and soil: enthalpy is the unknown, so latent heat cannot be lost."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import HEAT_ICE, HEAT_WATER, LATENT_FUSION

HOUR = 3600.0
TOLERANCE = 0.01
"""Largest mismatch accepted between solved temperature and that of the enthalpy [K]."""
PASSES = 8
ROUNDING = 1e-5
"""Heat below which water at 0 degC counts as neither cold nor warm [J m-2]: the last digit must decide nothing."""


@njit_unasked
def water_temperature(heat: float, mass: float) -> float:
    """Temperature of pure water and ice [degC] from enthalpy against ice at 0 degC [J m-2] and mass [kg
    m-2]."""
    if heat < 0.0:
        return heat / (HEAT_ICE * mass)
    melted = LATENT_FUSION * mass
    return 0.0 if heat <= melted else (heat - melted) / (HEAT_WATER * mass)


@njit_unasked
def water_slope(heat: float, mass: float) -> float:
    """dT/dH of pure water and ice [K m2 J-1]; none while it melts."""
    if heat < -ROUNDING:
        return 1.0 / (HEAT_ICE * mass)
    return 0.0 if heat <= LATENT_FUSION * mass + ROUNDING else 1.0 / (HEAT_WATER * mass)


@njit_unasked
def ground_temperature(
    heat: float, mass: float, dry_heat: float, ramp: float, freezing: float
) -> tuple[float, float, float]:
    """Temperature [degC], its slope against enthalpy [K m2 J-1] and liquid share [1] of a layer with water
    in pores.

    Liquid share f = d / (d + Tf - T) below the freezing point Tf, inverted with one square root.

    Args:
        heat [J m-2]: enthalpy, ice at 0 degC and dry matter at 0 degC as zero.
        mass [kg m-2]: water, frozen and liquid.
        dry_heat [J m-2 K-1]: heat capacity of the dry layer.
        ramp [K]: d, width of the freezing curve.
        freezing [degC]: Tf.
    """
    warm = dry_heat + mass * HEAT_WATER
    latent = LATENT_FUSION * mass
    rest = heat - warm * freezing
    if rest >= latent:
        return freezing + (rest - latent) / warm, 1.0 / warm, 1.0
    cold = dry_heat + mass * HEAT_ICE
    b = rest - cold * ramp
    y = (np.sqrt(b * b + 4.0 * cold * latent * ramp) - b) / (2.0 * cold)
    liquid = ramp / y
    return freezing + ramp - y, 1.0 / (cold + latent * liquid / y), liquid


@njit_unasked
def ground_heat(temperature: float, mass: float, dry_heat: float, ramp: float, freezing: float) -> float:
    """Enthalpy of a ground layer [J m-2] at a temperature [degC]: the inverse of `ground_temperature`."""
    warm = dry_heat + mass * HEAT_WATER
    if temperature >= freezing:
        return warm * temperature + LATENT_FUSION * mass
    cold = dry_heat + mass * HEAT_ICE
    share = ramp / (ramp + freezing - temperature)
    return warm * freezing + cold * (temperature - freezing) + LATENT_FUSION * mass * share


@njit_unasked
def node_temperatures(
    first: int,
    heat: NDArray[np.float64],
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    temperature: NDArray[np.float64],
    slope: NDArray[np.float64],
    liquid: NDArray[np.float64],
) -> None:
    """Writes temperature [degC], slope [K m2 J-1] and liquid share [1] of every node from `first` on."""
    for i in range(first, at.TURF):
        mass = state[at.MASS + i]
        if mass <= 0.0:
            temperature[i] = 0.0
            slope[i] = 0.0
            continue
        temperature[i] = water_temperature(heat[i], mass)
        slope[i] = water_slope(heat[i], mass)
    for j in range(at.LAYERS):
        i = at.TURF + j
        temperature[i], slope[i], liquid[j] = ground_temperature(
            heat[i], state[at.MASS + i], layers[j, at.DRY_HEAT], layers[j, at.RAMP], layers[j, at.FREEZING]
        )


@njit_unasked
def heat_pass(
    first: int,
    skip: int,
    top_flux: float,
    top_slope: float,
    old: NDArray[np.float64],
    heat: NDArray[np.float64],
    source: NDArray[np.float64],
    link: NDArray[np.float64],
    temperature: NDArray[np.float64],
    slope: NDArray[np.float64],
    gamma: NDArray[np.float64],
) -> float:
    """One linear pass over the nodes: new enthalpies in `heat`, solved temperatures in `temperature`; top
    one back.

    Flux into the top node is top_flux + top_slope T(top) [W m-2]. Below the last node nothing flows.

    Args:
        first: top node. skip: node left out (an empty pond), or -1.
        old, heat [J m-2]: enthalpy at the start of the hour, and about which T(H) is linear.
        source [J m-2]: sun absorbed inside. link [W m-2 K-1]: conductance from the node above.
    """
    nodes = heat.shape[0]
    i = first
    s_here = slope[i]
    b_here = temperature[i] - s_here * heat[i]
    s_above, b_above, heat_above, gamma_above = 0.0, 0.0, 0.0, 0.0
    while i < nodes:
        below = i + 1
        if below == skip:
            below += 1
        k_below, s_below, b_below = 0.0, 0.0, 0.0
        rhs = old[i] + source[i]
        if below < nodes:
            k_below = link[below]
            s_below = slope[below]
            b_below = temperature[below] - s_below * heat[below]
        if i == first:
            diagonal = 1.0 + HOUR * (k_below - top_slope) * s_here
            rhs += HOUR * (top_flux + (top_slope - k_below) * b_here)
            rhs += HOUR * k_below * b_below
            pivot = 1.0 / diagonal
            heat_above = rhs * pivot
        else:
            k = HOUR * link[i]
            lower = -k * s_above
            diagonal = 1.0 + (k + HOUR * k_below) * s_here
            rhs += k * b_above - (k + HOUR * k_below) * b_here
            rhs += HOUR * k_below * b_below
            pivot = 1.0 / (diagonal - lower * gamma_above)
            heat_above = (rhs - lower * heat_above) * pivot
        gamma_above = -HOUR * k_below * s_below * pivot
        gamma[i] = gamma_above
        heat[i] = heat_above
        temperature[i] = b_here
        s_above, b_above = s_here, b_here
        s_here, b_here = s_below, b_below
        i = below
    last = nodes - 1
    heat_below = heat[last]
    temperature[last] += slope[last] * heat_below
    for i in range(nodes - 2, first - 1, -1):
        if i == skip:
            continue
        heat_below = heat[i] - gamma[i] * heat_below
        heat[i] = heat_below
        temperature[i] += slope[i] * heat_below
    return temperature[first]
