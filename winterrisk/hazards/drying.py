"""Drying: bare, frozen, windy turf loses water that frozen roots cannot bring back."""

from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

Values = Mapping[str, float | NDArray[np.float64]]


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """Drying days so far [d] (species, day, zone, member), at the pace of the grass."""
    from winterrisk.hazards.harm import one_dose

    return one_dose("drying", winter_days, turf, traits)


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Chance of death by drying [0-1]: 1/(1 + (dose/drying_days)^-drying_steepness).

    Args:
        dose (...) [d]: drying days.
        thresholds: drying_days [d], drying_steepness [1].
        species: not used; the pace of the grass is in the dose.
    Reference: judged; no published dose. Bare, windy, frozen January to March is the pattern (Kreuser 2019).
    """
    ratio = np.maximum(dose, 1e-6) / thresholds["drying_days"]
    power = -np.asarray(thresholds["drying_steepness"], dtype=np.float64)
    return np.asarray(1.0 / (1.0 + ratio**power))
