"""Ice cover: sealed turf uses up its air, then dies by days without air, sooner the softer it is."""

import math
from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.hazards.hardiness import respiration
from winterrisk.science.compiled import njit

Values = Mapping[str, float | NDArray[np.float64]]

LEAST_USE = 0.125
"""Air use in cold ground relative to 0 degC (relative respiration at -2.5 degC, Bergjord et al. 2008)."""
REFERENCE_TEMPERATURE = -2.0
"""degC at which a day without air counts as one."""
COLDEST_COUNTED = -5.0
"""degC below which days without air count no less (judged)."""
DAYS_AT_ZERO, DAYS_PER_KELVIN = 1.34, -2.113
"""Days without air that kill half, against the kill temperature of timothy (Thorsen, Hoglind 2010)."""
SMALLEST_DAYS = 1.0
"""Days, so that turf with no hardiness left still has a positive measure."""


@njit
def half_kill_days(kill: float) -> float:
    """Days without air that kill half of timothy of this kill temperature [d]: 1.34 - 2.113 K.

    Reference: Thorsen and Hoglind (2010), parameter set A; 43.6 d at -20 degC.
    """
    return max(SMALLEST_DAYS, DAYS_AT_ZERO + DAYS_PER_KELVIN * kill)


@njit
def airless_share(store: float, sealed: float, mean: float, store_days: float) -> float:
    """Share of the day [0-1] without air: sealed time left after the store is used up.

    Args:
        store [0-1]: air left. sealed [0-1]: share of the day sealed. mean [degC]: crown mean.
        store_days [d]: how long a full store lasts at 0 degC.
    """
    use: float = max(LEAST_USE, respiration(mean) / respiration(0.0))
    return max(0.0, sealed - store * store_days / use)


@njit
def store_after(store: float, sealed: float, mean: float, store_days: float, refill_days: float) -> float:
    """Air store [0-1] after the sealed part of the day used it and the open part filled it again."""
    use: float = max(LEAST_USE, respiration(mean) / respiration(0.0))
    left = max(0.0, store - sealed * use / max(store_days, 1e-6))
    return 1.0 - (1.0 - left) * math.exp(-(1.0 - sealed) / refill_days)


@njit
def day_weight(mean: float, warmth: float) -> float:
    """What a day without air counts [d]: more when warm, by the factor `warmth` each 10 K."""
    return float(warmth ** ((max(mean, COLDEST_COUNTED) - REFERENCE_TEMPERATURE) / 10.0))


@njit
def relieved(dose: float, aired: float, relief_days: float) -> float:
    """Ice dose [1] after `aired` of the day [0-1] with real air at a crown warm enough to breathe it in."""
    return dose * math.exp(-aired / relief_days)


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """Airless days over those that kill half of timothy as hardy [1] (species, day, zone, member).

    It falls when air comes back; what is dead stays dead, so take the running maximum (`cumulative`).
    """
    from winterrisk.hazards.harm import one_dose

    return one_dose("ice", winter_days, turf, traits)


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Chance of death by lack of air [0-1]: 1/(1 + (dose/m)^-s), half at dose = m.

    Args:
        dose (...) [1]: weighted airless days over (1.34 - 2.113 K).
        thresholds: ice_multiplier.<species> m [1], ice_steepness s [1].
        species: whose multiplier.
    Reference: form judged; days after Thorsen and Hoglind (2010), multipliers fitted to field reports.
    """
    ratio = np.maximum(dose, 1e-6) / thresholds[f"ice_multiplier.{species}"]
    power = -np.asarray(thresholds["ice_steepness"], dtype=np.float64)
    return np.asarray(1.0 / (1.0 + ratio**power))
