"""From which day the weather alone would have let a green be played."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.hazards.spring_frost import THAWED_HOURS

RUNNING: Final = 3
"""Days in a row that must be fit (judged: one mild noon opens no course)."""
SNOW: Final = 0.01
"""Snow still lying [m] (judged: a centimetre)."""
BARE_ICE: Final = 0.5
"""Ice up to which a green counts as free of it [mm] (judged)."""


def fit_days(winter_days: xr.Dataset, weight: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether each day (day, zone) had no ice, no snow and no thawed top over frozen ground, nor frost all day.

    By the weighted mean over the possible winters. Common practice keeps traffic off such ground; no source for
    the amounts.

    Args:
        winter_days (day, zone, member): ice_thickness_max [mm], snow_depth_mean [m], hours_thawed [h],
            hours_thawed_over_frozen [h]. weight (member): of the possible winters.
    """

    def mean(name: str) -> NDArray[np.float64]:
        return np.asarray(
            winter_days[name].transpose("day", "zone", "member").to_numpy() @ (weight / weight.sum())
        )

    sheared = mean("hours_thawed_over_frozen") >= THAWED_HOURS
    return (
        (mean("ice_thickness_max") <= BARE_ICE)
        & (mean("snow_depth_mean") < SNOW)
        & ~sheared
        & (mean("hours_thawed") > 0)
    )


def first_fit(
    fit: NDArray[np.bool_], days: NDArray[np.datetime64], opening: np.datetime64
) -> np.datetime64 | None:
    """First day from `opening` on that begins three fit days in a row; None where the days end before.

    Args:
        fit (day): of one place, or of all places together. days (day).
    """
    begins = (
        np.lib.stride_tricks.sliding_window_view(fit, RUNNING).all(axis=1) if len(fit) >= RUNNING else fit[:0]
    )
    there = days[: len(begins)][begins & (days[: len(begins)] >= opening)]
    return there[0] if len(there) else None
