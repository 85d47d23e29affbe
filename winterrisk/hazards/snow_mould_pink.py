"""Pink snow mould: wet and cool, worst under snow on unfrozen ground."""

from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.hazards.mould import mould_chance
from winterrisk.science.compiled import njit

Values = Mapping[str, float | NDArray[np.float64]]


@njit
def pink_day(
    snow_on_unfrozen: float,
    wet: float,
    mean: float,
    snow: float,
    snow_limit: float,
    open_share: float,
    warmest: float,
) -> float:
    """Pink-mould day [0-1]: share of the day under snow on unfrozen ground, or a little for wet cool days.

    Reference: judged after extension texts (no snow needed, 0 to 16 degC, worst under snow on unfrozen
    ground).
    """
    if snow >= snow_limit:
        return snow_on_unfrozen
    return open_share * wet if 0.0 < mean < warmest else 0.0


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """Pink-mould days so far [d] (species, day, zone, member)."""
    from winterrisk.hazards.harm import one_dose

    return one_dose("snow_mould_pink", winter_days, turf, traits)


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Chance of death by pink snow mould [0-1], at most mould_most; unpublished relation, turf untreated.

    Args:
        dose (...) [d]: mould days.
        thresholds: mould_days_pink [d], mould_steepness [1], mould_most [1].
        species: not used.
    Reference: judged.
    """
    return mould_chance(dose, thresholds["mould_days_pink"], thresholds)
