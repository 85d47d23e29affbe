"""Short gaps as sharp as weather is: a line between their ends smooths away the lowest hour and the downpour."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.gap_groups import COLD_AND_DRY
from winterrisk.weather.longwave import longwave_down

Array = NDArray[np.float64]

SCATTERED_SHARE: Final = 0.02
"""Share of a winter's hours in short gaps from which their extremes are carried along [1] (judged)."""
TAIL: Final = 1.645
"""Standard deviations from the filled value to the end of its 90 % range [1]."""
WATER_WITHIN: Final = 6
"""Hours on either side of which the wettest measured one may have been in the gap [h] (judged)."""
FREEZING: Final = 0.0


def sharpened(
    values: dict[str, Array],
    unknown: Mapping[str, NDArray[np.bool_]],
    short: NDArray[np.bool_],
    spread: Array,
    group: int,
) -> None:
    """Puts the ends of what a winter's short gaps could have held into them: what was measured stays.

    Cold and dry: every unknown temperature at the low end of its 90 % range, no water. The other: frost harder
    and mild hours milder by as much, and in every hour without a gauge the water of the wettest one nearby.

    Args:
        values (hour, path): by variable, changed in place.
        unknown (hour): by variable, where nothing was measured; short (hour): hours in short gaps.
        spread (hour) [degC]: standard deviation of the filled temperature.
        group: COLD_AND_DRY, or else the sharper one.
    """
    warmth = unknown["air_temperature"] & short & (spread > 0.0)
    water = unknown["precipitation"] & short
    central = values["air_temperature"].mean(axis=1)
    away = TAIL * spread
    there = central - away if group == COLD_AND_DRY else central + np.where(central > FREEZING, away, -away)
    depression = values["air_temperature"] - values["dew_point"]
    values["air_temperature"][warmth] = there[warmth, None]
    moist = warmth & unknown["dew_point"]
    values["dew_point"][moist] = values["air_temperature"][moist] - depression[moist]
    values["dew_point"] = np.minimum(values["dew_point"], values["air_temperature"])
    if group == COLD_AND_DRY:
        values["precipitation"][water] = 0.0
    else:
        from scipy.ndimage import maximum_filter1d  # slow to load; only a record with gaps needs it

        measured = np.where(unknown["precipitation"][:, None], 0.0, values["precipitation"])
        wettest = maximum_filter1d(measured, 2 * WATER_WITHIN + 1, axis=0, mode="constant")
        values["precipitation"][water] = np.maximum(values["precipitation"], wettest)[water]
    renewed = warmth & unknown["longwave_down"]
    if "cloud_cover" in values:
        values["longwave_down"][renewed] = longwave_down(
            values["air_temperature"][renewed], values["dew_point"][renewed], values["cloud_cover"][renewed]
        )
