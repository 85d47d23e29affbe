"""The column's state between two hours: everything a later run needs, nothing else."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.heat import ground_heat

LAG_DEPTH = 1.6
"""e-folding depth of the ground's lag behind the year's air [m] (judged; damping depth of the year 2-2.5
m)."""


@dataclass(frozen=True)
class State:
    """State of every member just before the hour `time`.

    The sums of the local day in progress are part of it, so a run may stop and go on at any hour, inside a
    day too: the
    day is then reported by both runs, whole only by the later one.

    Args:
        time: UTC, start of the next hour.
        array (member, SIZE): see `layout`.
    """

    time: np.datetime64
    array: NDArray[np.float64]

    def __post_init__(self) -> None:
        kept = np.array(self.array, dtype=np.float64)
        kept.setflags(write=False)
        object.__setattr__(self, "array", kept)


def first_state(
    depths: NDArray[np.float64],
    temperatures: NDArray[np.float64],
    parameters: NDArray[np.float64],
    layers: NDArray[np.float64],
    water: NDArray[np.float64] | None = None,
    season: float = 0.0,
) -> NDArray[np.float64]:
    """State array (member, SIZE) of snowless ground at field water.

    Args:
        depths [m], temperatures ([member,] depth) [degC]: the ground's temperature, interpolated to the
        layers, constant
            beyond the ends.
        parameters (member, PARAMETERS), layers (member, LAYERS, PROPERTIES).
        water (LAYERS) [1]: water by volume where it is known.
        season [1]: 1 on 1 August, when the depth lags behind the summer, -1 half a year later, 0 for a
        known profile.
    """
    members = len(layers)
    array = np.zeros((members, at.SIZE))
    given = np.broadcast_to(temperatures, (members, len(depths)))
    profile = np.array([np.interp(at.CENTRES, depths, row) for row in given])
    lag = season * (1.0 - np.exp(-at.CENTRES / LAG_DEPTH))
    for m in range(members):
        for j in range(at.LAYERS):
            layer = layers[m, j]
            mass = layer[at.FIELD]
            if water is not None:
                mass = min(float(water[j]) * at.DEPTHS[j] * 1000.0, layer[at.PORE])
            array[m, at.MASS + at.TURF + j] = mass
            array[m, at.HEAT + at.TURF + j] = ground_heat(
                float(profile[m, j] - parameters[m, par.GROUND_COOLER] * lag[j]),
                mass,
                layer[at.DRY_HEAT],
                layer[at.RAMP],
                layer[at.FREEZING],
            )
    crown = profile[:, at.CROWN - at.TURF]
    array[:, at.ALBEDO] = parameters[:, par.ALBEDO_FRESH]
    array[:, at.SURFACE] = crown
    array[:, at.STORE] = 1.0
    array[:, at.CROWN_BEFORE] = crown
    array[:, at.SIX : at.SIX + 5] = crown[:, None]
    array[:, at.DAY] = np.nan
    return array
