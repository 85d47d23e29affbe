"""The ground alone, driven by a measured temperature 5 cm down: to check it apart from snow and weather."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column.heat import PASSES, TOLERANCE, ground_heat, heat_pass, node_temperatures
from winterrisk.column.links import ground_conductivity
from winterrisk.column.parameters import parameter_vector
from winterrisk.column.soils import layer_table
from winterrisk.science.compiled import checked_numbers, njit_unasked

DEPTHS = at.DEPTHS
TOP = at.FIVE_CM + 1


@njit_unasked(allocates=True)
def _driven(
    upper: NDArray[np.float64],
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    freezes: bool,
    out: NDArray[np.float64],
) -> None:
    temperature = np.zeros(at.NODES)
    slope = np.zeros(at.NODES)
    gamma = np.zeros(at.NODES)
    heat = np.zeros(at.NODES)
    source = np.zeros(at.NODES)
    link = np.zeros(at.NODES)
    liquid = np.ones(at.LAYERS)
    for i in range(at.NODES):
        heat[i] = state[at.HEAT + i]
    node_temperatures(at.TURF, heat, state, layers, temperature, slope, liquid)
    for t in range(len(upper)):
        resistance = 0.0
        for j in range(TOP - at.TURF - 1, at.LAYERS):
            share = liquid[j] if freezes else 1.0
            half = 0.5 * DEPTHS[j] / ground_conductivity(layers[j], state[at.MASS + at.TURF + j], share)
            link[at.TURF + j] = 1.0 / (resistance + half)
            resistance = half
        for _attempt in range(PASSES):
            heat_pass(
                TOP,
                -1,
                link[TOP] * upper[t],
                -link[TOP],
                state,
                heat,
                source,
                link,
                temperature,
                slope,
                gamma,
            )
            wrong = 0.0
            out[t] = temperature[at.TURF :]
            node_temperatures(at.TURF, heat, state, layers, temperature, slope, liquid)
            for i in range(TOP, at.NODES):
                wrong = max(wrong, abs(out[t, i - at.TURF] - temperature[i]))
            if wrong < TOLERANCE:
                break
        out[t] = temperature[at.TURF :]
        for i in range(TOP, at.NODES):
            state[at.HEAT + i] = heat[i]


def driven_ground(
    upper: NDArray[np.float64],
    start: NDArray[np.float64],
    layers: NDArray[np.float64],
    water: NDArray[np.float64],
    freezes: bool = True,
) -> NDArray[np.float64]:
    """Temperatures (time, LAYERS) [degC] of the ground below a temperature given 5 cm down.

    Args:
        upper (time) [degC]: hourly at 5 cm. start (LAYERS) [degC]: at the first hour.
        layers (LAYERS, PROPERTIES): of one column. water (LAYERS) [1]: by volume, held through the winter.
        freezes: False leaves out the latent heat, as a plain conduction model would.
    """
    table = np.array(layers)
    state = np.zeros(at.SIZE)
    if not freezes:
        table[:, at.FREEZING] = -99.0
    for j in range(at.LAYERS):
        mass = min(water[j] * at.DEPTHS[j] * 1000.0, table[j, at.PORE])
        state[at.MASS + at.TURF + j] = mass
        state[at.HEAT + at.TURF + j] = ground_heat(
            float(start[j]), mass, table[j, at.DRY_HEAT], table[j, at.RAMP], table[j, at.FREEZING]
        )
    out = np.zeros((len(upper), at.LAYERS))
    _driven(np.asarray(upper, dtype=np.float64), state, table, freezes, out)
    checked_numbers(out, "the driven ground")
    return out


def soil_layers(soil: str) -> NDArray[np.float64]:
    """Layer table (LAYERS, PROPERTIES) of one bare soil with the table's values."""
    return layer_table("push-up", 0.0, "good", soil, parameter_vector(None, 1))[0]
