"""Long gaps at their worst: one group of paths keeps the winters' weather, two take the ends of what could
have been."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.gap_extremes import Extremes
from winterrisk.weather.longwave import longwave_down
from winterrisk.weather.solar import under_cloud
from winterrisk.weather.usual import day_and_hour

Array = NDArray[np.float64]

LONG_GAP: Final = 24
"""Gap from which the extremes are carried along [h] (judged)."""
USUAL, COLD_AND_DRY, THAW_THEN_COLD = 0, 1, 2
GROUP_WEIGHTS: Final = (0.94, 0.03, 0.03)
"""Weight of each group's paths together [1] (judged: the extremes widen the range and hardly move the
mean)."""
CLEAR, OVERCAST = 0.0, 1.0


def at_worst(
    values: dict[str, Array],
    times: NDArray[np.datetime64],
    clear: Array,
    unknown: Mapping[str, NDArray[np.bool_]],
    extremes: Extremes,
    group: int,
) -> None:
    """Puts the worst of a group into one gap (hour, path): what was measured in it stays.

    Cold and dry: the coldest day of the season over and over, clear, no water. Thaw then cold: the warmest
    day over and over in the first half, overcast, with the wettest day's water in its last 24 h; then cold
    and dry.

    Args:
        values (hour, path): by variable, changed in place; times (hour); clear (hour) [W m-2]: clear-sky
            shortwave.
        unknown (hour): by variable, where nothing was measured.
        extremes: of the season; group: COLD_AND_DRY or THAW_THEN_COLD.
    """
    length = len(times)
    _, hour = day_and_hour(times)
    thaw = np.arange(length) < (length // 2 if group == THAW_THEN_COLD else 0)
    cloud = np.where(thaw, OVERCAST, CLEAR)

    def put(name: str, series: Array) -> None:
        values[name][unknown[name]] = series[unknown[name], None]

    for name in ("air_temperature", "dew_point", "wind_speed"):
        put(name, np.where(thaw, extremes.warm[name][hour], extremes.cold[name][hour]))
    put("precipitation", _water(values, unknown, thaw, extremes.water))
    put("shortwave_down", under_cloud(clear, cloud))
    if "cloud_cover" in values:
        put("cloud_cover", cloud)
    values["dew_point"][:] = np.minimum(values["dew_point"], values["air_temperature"])
    sky = values["cloud_cover"] if "cloud_cover" in values else cloud[:, None]
    longwave = longwave_down(values["air_temperature"], values["dew_point"], sky)
    renewed = unknown["longwave_down"] & (unknown["air_temperature"] | unknown["shortwave_down"])
    values["longwave_down"][renewed] = longwave[renewed]


def _water(
    values: dict[str, Array], unknown: Mapping[str, NDArray[np.bool_]], thaw: NDArray[np.bool_], total: float
) -> Array:
    """The wettest day's water over the last 24 h of the thaw, or over the warmest day where warmth was
    measured."""
    water = np.zeros(len(thaw))
    if not thaw.any():
        return water
    if unknown["air_temperature"].mean() > 0.5:
        end = int(thaw.sum())
    else:
        mean = np.convolve(values["air_temperature"].mean(axis=1), np.ones(LONG_GAP), mode="valid")
        end = int(np.argmax(mean)) + LONG_GAP
    begin = max(end - LONG_GAP, 0)
    water[begin:end] = total / (end - begin)
    return water
