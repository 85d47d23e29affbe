"""The loop: hours inside, columns outside; one compiled source, plain Python where numba is missing."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column.days import crown_saturation, new_day, write_day
from winterrisk.column.heat import node_temperatures
from winterrisk.column.ice import ice_mass, white_share
from winterrisk.column.step import step
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import DENSITY_ICE, LATENT_FUSION

DEPTHS = at.DEPTHS


@njit_unasked
def frost_and_thaw(liquid: NDArray[np.float64]) -> tuple[float, float]:
    """Depth of the deepest ice in the ground and of the thawed layer above the first ice [m] (0 without
    ice)."""
    frost = 0.0
    thaw = 0.0
    top = 0.0
    met = False
    for j in range(at.LAYERS):
        ice = 1.0 - liquid[j]
        if ice > 0.02:
            frost = top + DEPTHS[j] * ice
            if not met:
                thaw = top + (DEPTHS[j] * liquid[j] if liquid[j] > 0.5 else 0.0)
            met = True
        top += DEPTHS[j]
    return frost, thaw


@njit_unasked
def show_hour(
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    scratch: NDArray[np.float64],
    out: NDArray[np.float64],
    shown: NDArray[np.float32],
) -> None:
    """Writes the hourly variables in the order of HOURLY_VARIABLES and the soil temperatures."""
    snow = state[at.MASS] + state[at.MASS + 1] + state[at.MASS + 2]
    liquid = scratch[6]
    node_temperatures(at.TURF, state[at.HEAT :], state, layers, scratch[0], scratch[1], liquid)
    out[at.O_SNOW_DEPTH] = state[at.THICK] + state[at.THICK + 1] + state[at.THICK + 2]
    out[at.O_SNOW_WATER] = snow
    ice = ice_mass(state)
    out[at.O_ICE] = 1000.0 * ice / DENSITY_ICE
    out[at.O_CLEAR] = 1.0 - white_share(state) if ice > 0.0 else 0.0
    out[at.O_WATER] = max(0.0, state[at.HEAT + at.POND]) / LATENT_FUSION
    if out[at.O_WATER] > state[at.MASS + at.POND]:
        out[at.O_WATER] = state[at.MASS + at.POND]
    out[at.O_SURFACE] = state[at.SURFACE]
    out[at.O_CROWN] = scratch[0, at.CROWN]
    out[at.O_SATURATION], out[at.O_LIQUID] = crown_saturation(state, layers, liquid)
    out[at.O_FROST], out[at.O_THAW] = frost_and_thaw(liquid)
    out[at.O_ALBEDO] = state[at.ALBEDO] if snow > 0.0 else 0.0
    for j in range(at.LAYERS):
        out[at.O_SOIL + j] = scratch[0, at.TURF + j]
    for k in range(at.OUTPUTS):
        shown[k] = out[k]


@njit_unasked(nogil=True)
def run_columns(
    first: int,
    last: int,
    begin: int,
    end: int,
    weather: NDArray[np.float64],
    path: NDArray[np.int64],
    day: NDArray[np.int64],
    state: NDArray[np.float64],
    parameters: NDArray[np.float64],
    layers: NDArray[np.float64],
    scratch: NDArray[np.float64],
    out: NDArray[np.float64],
    days: NDArray[np.float32],
    hours: NDArray[np.float32],
) -> None:
    """Runs columns first..last over the hours begin..end; state, days and hours are written in place.

    Args:
        weather (path, time, WEATHER), path (column): which weather a column has.
        day (time): local day of each hour, days since 1970.
        state (column, SIZE), parameters (column, PARAMETERS), layers (column, LAYERS, PROPERTIES).
        scratch (SCRATCH, NODES), out (OUTPUTS): room to work in, one a thread; it means nothing before or after.
        days (column, day, variable): from the day of the first hour of the weather.
        hours (column, time, OUTPUTS): hourly output, or of length 0 in time when not wanted.
    """
    show = hours.shape[1] > 0
    for column in range(first, last):
        own = state[column]
        p = parameters[column]
        table = layers[column]
        hourly = weather[path[column]]
        for t in range(begin, end):
            if own[at.DAY] != day[t]:
                new_day(own, float(day[t]))
            step(own, hourly[t], p, table, scratch, out)
            if t + 1 == end or day[t + 1] != day[t]:
                write_day(own, days[column, day[t] - day[0]])
            if show:
                show_hour(own, table, scratch, out, hours[column, t])


HOURLY_VARIABLES = {
    "snow_depth": ("m", "snow depth"),
    "snow_water": ("kg m-2", "water in the snow"),
    "ice_thickness": ("mm", "ice on the turf"),
    "ice_clear": ("1", "clear share of the ice"),
    "surface_water": ("kg m-2", "liquid water on the turf"),
    "sealed": ("1", "how far the turf is shut off from the air"),
    "surface_temperature": ("degC", "temperature of the surface"),
    "crown_temperature": ("degC", "temperature 1 cm below the top of the thatch"),
    "crown_saturation": ("1", "water and ice over pores in the crown zone"),
    "crown_liquid_saturation": ("1", "liquid water over pores in the crown zone"),
    "frost_depth": ("m", "depth of the deepest frozen ground"),
    "thaw_depth": ("m", "thawed ground above frozen ground"),
    "water_balance_error": ("kg m-2", "error of the hour's water budget"),
    "energy_balance_error": ("W m-2", "error of the hour's energy budget"),
    "snow_albedo": ("1", "albedo of the snow"),
    "runoff": ("kg m-2", "water leaving the surface and the bottom"),
}
"""Hourly variables in the order they are written, with unit and long name; soil temperatures follow."""
