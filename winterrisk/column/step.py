"""One hour of one column, process by process, with both budgets closed at the end."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.days import add_hour
from winterrisk.column.fall import received, removed_vapour
from winterrisk.column.heat import HOUR, PASSES, TOLERANCE, heat_pass, node_temperatures
from winterrisk.column.ice import frozen_in, ice_mass, opened, ramp, ran_off
from winterrisk.column.links import conductances
from winterrisk.column.snow import LEAST, aged_albedo, percolated, relayer, settled
from winterrisk.column.sunlight import absorbed_sun
from winterrisk.column.surface import (
    EMISSIVITY,
    LEAST_WIND,
    calm_floor,
    neutral_exchange,
    saturation,
    stability,
    surface_balance,
)
from winterrisk.column.water import soaked, supply, watered
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import (
    DENSITY_ICE,
    DENSITY_WATER,
    HEAT_AIR,
    LATENT_FUSION,
    STANDARD_PRESSURE,
    VAPOUR_MASS_RATIO,
)

AIR_HEAT = 1.29 * HEAT_AIR
"""Heat capacity of air near freezing [J m-3 K-1]."""
WET_SNOW = 0.3 * LATENT_FUSION
"""Heat of melt water in the top layer that makes it age as wet snow, through the night too [J m-2]
(judged)."""
AT_MELTING = 1e-9
"""Temperature up to which a node counts as melting [degC]."""
TRACE = 1e-3
"""Water on the turf below this joins the snow base or the mat [kg m-2]."""
VAPOUR_DENSITY = 1.29 * VAPOUR_MASS_RATIO / STANDARD_PRESSURE
"""Vapour in air near freezing per vapour pressure [kg m-3 hPa-1]."""


@njit_unasked
def column_water(state: NDArray[np.float64]) -> float:
    """All water of the column [kg m-2]."""
    total = 0.0
    for i in range(at.NODES):
        total += state[at.MASS + i]
    return total


@njit_unasked
def column_heat(state: NDArray[np.float64]) -> float:
    """All heat of the column [J m-2]."""
    total = 0.0
    for i in range(at.NODES):
        total += state[at.HEAT + i]
    return total


@njit_unasked
def melted_at_once(state: NDArray[np.float64], energy: float) -> float:
    """Melts from the top every layer the hour's energy can melt whole; the energy used [J m-2].

    Keeps a trace of snow from pinning the surface at 0 degC for an hour.
    """
    used = 0.0
    for k in range(3):
        mass = state[at.MASS + k]
        if mass <= 0.0:
            continue
        need = LATENT_FUSION * mass - state[at.HEAT + k]
        if need > energy - used:
            return used
        used += need
        state[at.MASS + k + 1] += mass
        state[at.HEAT + k + 1] += LATENT_FUSION * mass
        state[at.MASS + k] = 0.0
        state[at.HEAT + k] = 0.0
        state[at.THICK + k] = 0.0
    mass = state[at.MASS + at.POND]
    need = LATENT_FUSION * mass - state[at.HEAT + at.POND]
    if mass > 0.0 and 0.0 < need <= energy - used:
        used += need
        state[at.HEAT + at.POND] = LATENT_FUSION * mass
    return used


@njit_unasked
def step(
    state: NDArray[np.float64],
    hour: NDArray[np.float64],
    p: NDArray[np.float64],
    layers: NDArray[np.float64],
    scratch: NDArray[np.float64],
    out: NDArray[np.float64],
) -> None:
    """Moves one column by one hour; `out` takes what the hourly output shows."""
    temperature = scratch[0]
    slope = scratch[1]
    gamma = scratch[2]
    heat = scratch[3]
    source = scratch[4]
    link = scratch[5]
    liquid = scratch[6]
    solved = scratch[7]
    water_before = column_water(state)
    heat_before = column_heat(state)

    # what falls
    snowfall, rain_on_snow, water_in, heat_in = received(state, hour, p)
    snowy = state[at.MASS] + state[at.MASS + 1] + state[at.MASS + 2] > 0.0
    if snowy:
        relayer(state, scratch[8])

    # what lies at the surface
    air, wind = hour[at.AIR], max(LEAST_WIND, p[par.SHELTER] * hour[at.WIND])
    vapour = min(saturation(hour[at.DEW])[0], saturation(air)[0])
    depth = state[at.THICK] + state[at.THICK + 1] + state[at.THICK + 2]
    raised = depth if p[par.FROM_GROUND] > 0.5 else 0.0
    height_air = max(0.5, p[par.HEIGHT_AIR] - raised)
    height_wind = max(1.0, p[par.HEIGHT_WIND] - raised)
    cover = depth / np.sqrt(depth * depth + p[par.PATCH] * p[par.PATCH])
    roughness = p[par.ROUGH_TURF] * (p[par.ROUGH_SNOW] / p[par.ROUGH_TURF]) ** cover
    wind *= np.log(height_air / roughness) / np.log(height_wind / roughness)
    neutral, momentum = neutral_exchange(height_air, roughness)
    sun = absorbed_sun(state, hour[at.SUN], cover, p, source)
    radiation = sun + EMISSIVITY * hour[at.SKY]
    floor = calm_floor(air, p[par.CALM]) / AIR_HEAT
    pond = state[at.MASS + at.POND]
    conductance = supply(state, layers)

    surface = state[at.SURFACE]
    exchange = floor + neutral * wind
    used = 0.0
    if (snowy or pond > 0.0) and (air > -3.0 or sun > 60.0):
        exchange = max(floor, neutral * wind * stability(air, 0.0, wind, height_air, roughness, momentum))
        at_zero = surface_balance(0.0, air, vapour, hour[at.PRESSURE], radiation, exchange, 1.0, True)[0]
        if at_zero > 0.0:
            used = melted_at_once(state, at_zero * HOUR)
            if used != 0.0:
                snowy = state[at.MASS] + state[at.MASS + 1] + state[at.MASS + 2] > 0.0
                if snowy:
                    relayer(state, scratch[8])
                pond = state[at.MASS + at.POND]
    ice_before = ice_mass(state)
    skip = -1
    if snowy:
        first = 0
        if pond <= 0.0:
            skip = at.POND
    else:
        first = at.POND if pond > 0.0 else at.TURF
    frozen = snowy or ice_before > 0.0

    # heat
    for i in range(at.NODES):
        heat[i] = state[at.HEAT + i]
    snow_solid0 = min(state[at.MASS], state[at.MASS] - max(0.0, heat[0]) / LATENT_FUSION)
    snow_solid1 = min(state[at.MASS + 1], state[at.MASS + 1] - max(0.0, heat[1]) / LATENT_FUSION)
    snow_solid2 = min(state[at.MASS + 2], state[at.MASS + 2] - max(0.0, heat[2]) / LATENT_FUSION)
    node_temperatures(first, heat, state, layers, temperature, slope, liquid)
    conductances(first, state, layers, p, liquid, link)
    if pond > 0.0 and not snowy and not frozen:
        conductance = 1.0
    top_link = link[first]
    flux = 0.0
    latent = 0.0
    for attempt in range(PASSES):
        if attempt < 4:
            exchange = max(
                floor,
                neutral * wind * stability(air, surface, wind, height_air, roughness, momentum),
            )
            wetness = 1.0 if frozen else conductance / (conductance + exchange)
            balance, change, latent0, latent_change = surface_balance(
                surface, air, vapour, hour[at.PRESSURE], radiation, exchange, wetness, frozen
            )
            level = balance - change * surface - used / HOUR
            base = surface
        free = (level + top_link * temperature[first]) / (top_link - change)
        pinned = frozen and free > 0.0 and temperature[first] <= AT_MELTING
        if pinned:
            flux_level, flux_slope = level, 0.0
        else:
            flux_level = top_link * level / (top_link - change)
            flux_slope = top_link * change / (top_link - change)
        top = heat_pass(
            first, skip, flux_level, flux_slope, state, heat, source, link, temperature, slope, gamma
        )
        flux = flux_level + flux_slope * top
        old_surface = surface
        surface = 0.0 if pinned else (level + top_link * top) / (top_link - change)
        latent = latent0 + latent_change * (surface - base)
        for i in range(first, at.NODES):
            solved[i] = temperature[i]
        node_temperatures(first, heat, state, layers, temperature, slope, liquid)
        wrong = 0.0
        for i in range(first, at.NODES):
            if i != skip:
                wrong = max(wrong, abs(solved[i] - temperature[i]))
        if frozen:
            free = (level + top_link * temperature[first]) / (top_link - change)
            if pinned != (free > 0.0 and temperature[first] <= AT_MELTING):
                wrong = 9.0
        if wrong < TOLERANCE and abs(surface - old_surface) < 0.3:
            break
    into_pond = link[at.TURF] * (temperature[at.TURF] - temperature[at.POND]) * HOUR if pond > 0.0 else 0.0
    inside = 0.0
    for i in range(first, at.NODES):
        state[at.HEAT + i] = heat[i]
        inside += source[i]
    state[at.SURFACE] = surface
    heat_in += flux * HOUR + used + inside

    # snow shrinks as it melts
    if snowy:
        for k in range(3):
            solid = snow_solid0 if k == 0 else (snow_solid1 if k == 1 else snow_solid2)
            left = state[at.MASS + k] - max(0.0, state[at.HEAT + k]) / LATENT_FUSION
            if solid > 0.0 and left < solid:
                state[at.THICK + k] *= max(0.0, left) / solid
    melted = max(0.0, ice_before - ice_mass(state))
    frozen_in(ice_before, state)

    # vapour
    vapour_water, vapour_heat = removed_vapour(state, layers, temperature, liquid, latent, frozen, surface)
    water_in += vapour_water
    heat_in += vapour_heat

    # melt water on its way down
    if snowy:
        melt, melt_heat = percolated(state, p[par.RETENTION])
        shed, shed_heat = melt * state[at.COVER_SHEDS], melt_heat * state[at.COVER_SHEDS]
        water_in -= shed
        heat_in -= shed_heat
        state[at.MASS + at.POND] += melt - shed
        state[at.HEAT + at.POND] += melt_heat - shed_heat
        snow = state[at.MASS] + state[at.MASS + 1] + state[at.MASS + 2]
        thick = state[at.THICK] + state[at.THICK + 1] + state[at.THICK + 2]
        if snow < LEAST or thick <= 0.0:
            for k in range(3):
                state[at.MASS + at.POND] += state[at.MASS + k]
                state[at.HEAT + at.POND] += state[at.HEAT + k]
                state[at.MASS + k] = 0.0
                state[at.HEAT + k] = 0.0
                state[at.THICK + k] = 0.0
            snowy = False
        else:
            load = 0.0
            for k in range(3):
                mass = state[at.MASS + k]
                thick = state[at.THICK + k]
                if mass <= 0.0 or thick <= 0.0:
                    continue
                liquid_part = max(0.0, state[at.HEAT + k]) / LATENT_FUSION / (DENSITY_WATER * thick)
                thick = settled(
                    thick,
                    load + 0.5 * mass,
                    mass / thick,
                    min(0.0, temperature[k]),
                    liquid_part,
                    p[par.VISCOSITY],
                )
                state[at.THICK + k] = max(thick, mass / DENSITY_ICE)
                load += mass
        wet = ramp(state[at.HEAT], 0.0, WET_SNOW)
        state[at.ALBEDO] = aged_albedo(state[at.ALBEDO], snowfall, wet, p)
        if not snowy:
            state[at.ALBEDO] = p[par.ALBEDO_FRESH]

    # water on and in the ground
    if hour[at.WATERED] * p[par.IRRIGATED] > 0.0 and not snowy and state[at.COVER_R] <= 0.0:
        sprinkled, sprinkled_heat = watered(state, layers, temperature)
        water_in += sprinkled
        heat_in += sprinkled_heat
    pond = state[at.MASS + at.POND]
    offered = min(pond, max(0.0, state[at.HEAT + at.POND] / LATENT_FUSION))
    offered_heat = offered * LATENT_FUSION if offered < pond else state[at.HEAT + at.POND]
    if offered >= pond and offered > 0.0:
        offered = pond
    taken, taken_heat, drained, drained_heat = soaked(
        offered, offered_heat, state, layers, p, temperature, liquid
    )
    state[at.MASS + at.POND] -= taken
    state[at.HEAT + at.POND] -= taken_heat
    off, off_heat = ran_off(state, p)
    if state[at.MASS + at.POND] < TRACE:
        node = at.SNOW - 1 if snowy and state[at.MASS + at.SNOW - 1] > 0.0 else at.TURF
        state[at.MASS + node] += state[at.MASS + at.POND]
        state[at.HEAT + node] += state[at.HEAT + at.POND]
        state[at.MASS + at.POND] = 0.0
        state[at.HEAT + at.POND] = 0.0
        state[at.WHITE] = 0.0
    ice = ice_mass(state)
    melted_below = min(melted, max(0.0, into_pond) / LATENT_FUSION)
    state[at.GAP] = opened(state[at.GAP], melted_below, state[at.MASS + at.POND] - ice, ice, p[par.SEAL])
    state[at.DARK] *= 0.0 if not frozen else (0.9 if snowfall > 1.0 else 1.0)

    # both budgets
    water_error = column_water(state) - water_before - water_in + drained + off
    heat_error = column_heat(state) - heat_before - heat_in + drained_heat + off_heat
    state[at.WATER_ERROR] += water_error
    state[at.ENERGY_ERROR] += heat_error
    sums = state[at.SUMS :]
    sums[at.D_WATER_ERROR] = max(sums[at.D_WATER_ERROR], abs(water_error))
    sums[at.D_ENERGY_ERROR] = max(sums[at.D_ENERGY_ERROR], abs(heat_error) / HOUR)
    demand = 0.0
    if not frozen and state[at.COVER_R] <= 0.0 and liquid[0] < 1.0:
        demand = max(0.0, saturation(surface)[0] - vapour) * exchange * VAPOUR_DENSITY * HOUR * (1.0 - cover)
    sealed = add_hour(state, layers, p, hour, temperature, liquid, rain_on_snow, demand)
    state[at.VENTED] = max(0.0, state[at.VENTED] - 1.0)
    out[at.O_SEALED] = sealed
    out[at.O_WATER_ERROR] = water_error
    out[at.O_ENERGY_ERROR] = heat_error / HOUR
    out[at.O_RUNOFF] = off + drained
    out[at.O_ALBEDO] = cover
