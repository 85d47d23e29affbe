"""What comes out of the air and goes back into it: snow, rain, drift, frost, dew, evaporation."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.snow import blown_share, caught_share, water_heat
from winterrisk.column.water import drawn
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import (
    HEAT_ICE,
    LATENT_FUSION,
    LATENT_SUBLIMATION,
    LATENT_VAPORISATION,
)
from winterrisk.science.new_snow import new_snow_density

FROST_DENSITY = 300.0
"""Density of frost growing on snow [kg m-3] (judged)."""


@njit_unasked
def received(
    state: NDArray[np.float64], hour: NDArray[np.float64], p: NDArray[np.float64]
) -> tuple[float, float, float, float]:
    """Takes the hour's precipitation and drift: snowfall and rain on snow [kg m-2], water and heat gained.

    Freezing rain stays liquid however cold the air. A laid cover sheds its share of rain where no snow
    lies on it.
    """
    air = hour[at.AIR]
    falling = hour[at.PRECIPITATION]
    water = 0.0
    heat = 0.0
    snowfall = 0.0
    rain_on_snow = 0.0
    if falling > 0.0:
        t_wet = air - (air - min(air, hour[at.DEW])) / 3.0
        liquid = min(falling, hour[at.FREEZING_RAIN])
        snowfall = (falling - liquid) * hour[at.SNOW_SHARE]
        rain = falling - snowfall
        snowfall *= p[par.SNOW_CATCH] * p[par.SNOW_GAIN]
        if p[par.GAUGE_WIND] > 0.0:
            snowfall /= caught_share(air, p[par.GAUGE_WIND] * hour[at.WIND])
        if snowfall > 0.0:
            cold = HEAT_ICE * min(0.0, t_wet) * snowfall
            state[at.MASS] += snowfall
            state[at.HEAT] += cold
            state[at.THICK] += snowfall / (p[par.NEW_DENSITY] * new_snow_density(t_wet))
            water += snowfall
            heat += cold
        snow = state[at.MASS] + state[at.MASS + 1] + state[at.MASS + 2]
        if rain > 0.0:
            if snow > 0.0 and state[at.MASS] > 0.0:
                node = 0
                rain_on_snow = rain * snow / (snow + 1.0)
            else:
                node = at.POND
                rain *= 1.0 - state[at.COVER_SHEDS]
            warm = rain * water_heat(max(0.0, t_wet))
            state[at.MASS + node] += rain
            state[at.HEAT + node] += warm
            water += rain
            heat += warm
    if p[par.EXPOSED] > 0.0 and state[at.MASS] > 0.0 and state[at.HEAT] <= 0.0:
        lost = blown_share(hour[at.WIND], min(0.0, air), p[par.EXPOSED], p[par.WIND_LOSS])
        if lost > 0.0:
            water -= lost * state[at.MASS]
            heat -= lost * state[at.HEAT]
            state[at.MASS] *= 1.0 - lost
            state[at.HEAT] *= 1.0 - lost
            state[at.THICK] *= 1.0 - lost
    return snowfall, rain_on_snow, water, heat


@njit_unasked
def removed_vapour(
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    temperature: NDArray[np.float64],
    liquid: NDArray[np.float64],
    latent: float,
    frozen: bool,
    surface: float,
) -> tuple[float, float]:
    """Moves the vapour behind the latent heat flux [W m-2]: water [kg m-2] and heat [J m-2] gained."""
    cold = frozen or surface < 0.0
    mass = latent * 3600.0 / (LATENT_SUBLIMATION if cold else LATENT_VAPORISATION)
    snowy = state[at.MASS] > 0.0
    if mass >= 0.0:
        heat = 0.0 if cold else LATENT_FUSION * mass
        node = at.TURF
        if snowy:
            node = 0
            state[at.THICK] += mass / FROST_DENSITY
        elif state[at.MASS + at.POND] > 0.0:
            node = at.POND
            state[at.WHITE] *= 1.0
        state[at.MASS + node] += mass
        state[at.HEAT + node] += heat
        return mass, heat
    wanted = -mass
    gone = 0.0
    heat = 0.0
    for k in range(at.POND + 1):
        have = state[at.MASS + k]
        if have <= 0.0 or wanted <= 0.0:
            continue
        part = min(wanted, have)
        share = part / have
        heat += share * state[at.HEAT + k]
        state[at.HEAT + k] *= 1.0 - share
        state[at.MASS + k] = have - part
        if k < at.SNOW:
            state[at.THICK + k] *= 1.0 - share
        else:
            state[at.WHITE] *= 1.0 - share
        gone += part
        wanted -= part
    if wanted > 0.0:
        found, found_heat = drawn(wanted, state, layers, temperature, liquid)
        gone += found
        heat += found_heat
    return -gone, -heat
