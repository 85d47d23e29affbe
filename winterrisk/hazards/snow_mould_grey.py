"""Grey snow mould: long snow near freezing."""

from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.hazards.mould import mould_chance
from winterrisk.science.compiled import njit

Values = Mapping[str, float | NDArray[np.float64]]

ACTIVE_ABOVE = -0.5
"""degC at the crown above which a snow day counts fully (judged; grey mould grows at 0 to 4 degC)."""


@njit
def grey_day(mean: float, snow: float, snow_limit: float, coldest: float) -> float:
    """Grey-mould day [0-1]: snow on a crown near freezing counts fully, on one at `coldest` not at all.

    Reference: judged after trade technical notes (needs snow, 0 to 4 degC).
    """
    if snow < snow_limit:
        return 0.0
    return min(1.0, max(0.0, (mean - coldest) / (ACTIVE_ABOVE - coldest)))


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """Grey-mould days so far [d] (species, day, zone, member)."""
    from winterrisk.hazards.harm import one_dose

    return one_dose("snow_mould_grey", winter_days, turf, traits)


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Chance of death by grey snow mould [0-1], at most mould_most; unpublished relation, turf untreated.

    Args:
        dose (...) [d]: mould days.
        thresholds: mould_days_grey [d], mould_steepness [1], mould_most [1].
        species: not used.
    Reference: judged; moderate below 40-60 days of snow, severe above 90 (trade technical note).
    """
    return mould_chance(dose, thresholds["mould_days_grey"], thresholds)
