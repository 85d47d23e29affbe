"""Spring frost: a late freeze on turf in growth, and the guard for thawed tops on frozen ground."""

from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray
from scipy.special import expit

Values = Mapping[str, float | NDArray[np.float64]]

SOFT_MARGIN = 2.0
"""K above the kill temperature at which a frost on soft turf is worth a notice (judged)."""
THAWED_HOURS = 6.0
"""Hours with a thawed top over frozen ground from which traffic shears roots (judged)."""


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """Worst margin below the kill temperature since growth began [K] (species, day, zone, member)."""
    from winterrisk.hazards.harm import one_dose

    return one_dose("spring_frost", winter_days, turf, traits)


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Chance of death by a spring frost [0-1]: 1/(1 + exp(-dose/spring_frost_spread)).

    Args:
        dose (...) [K]: margin below the kill temperature after growth began.
        thresholds: spring_frost_spread [K].
        species: not used.
    Reference: turf of both greens grasses in growth dies near -5 degC, Tompkins et al. (1996); spread judged.
    """
    return np.asarray(expit(dose / thresholds["spring_frost_spread"]))


def spring_guard(winter_days: xr.Dataset, harm: xr.Dataset) -> xr.Dataset:
    """What to guard against in spring, day by day: frost_on_soft_turf, thawed_over_frozen [0 or 1].

    frost_on_soft_turf (species, day, zone, member): the crown came within 2 K of the kill temperature after
    growth began. thawed_over_frozen (day, zone, member): six hours or more with a thawed top on frozen
    ground, when traffic and mowing shear roots. A notice to keep off, not a chance of death.
    """
    near = harm["dose_spring_frost"].diff("day", label="upper") > 0
    near = near.reindex(day=harm["day"], fill_value=False) & (harm["dose_spring_frost"] > -SOFT_MARGIN)
    thawed = winter_days["hours_thawed_over_frozen"] >= THAWED_HOURS
    guard = xr.Dataset({"frost_on_soft_turf": near, "thawed_over_frozen": thawed})
    guard["frost_on_soft_turf"].attrs = {"units": "1", "long_name": "frost on turf in growth"}
    guard["thawed_over_frozen"].attrs = {"units": "1", "long_name": "thawed top over frozen ground"}
    return guard
