"""Wet freeze: a crown that took up water, then froze. The extra chance over what the same cold does dry."""

import math
from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.hazards.names import WET_SIZES
from winterrisk.science.compiled import njit

Values = Mapping[str, float | NDArray[np.float64]]

THAWED = -0.2
"""degC above which a crown counts as thawed."""
WATER_SOFT = 0.82
"""Crown water share in growth (80-85 %, Kreuser 2017)."""
WATER_LEAST = 0.50
"""Crown water share that the hardest turf comes near (50-60 % hardened, below it dried out, Kreuser 2017)."""
WATER_KELVIN = 10.0
"""K of hardening that take away 63 % of the difference: annual bluegrass at -21.5 has 55-56 % (judged)."""
WATER_SOAKED = 0.80
"""Crown water share of a soaked crown (Kreuser 2017)."""


MOST_LOG_ODDS = 80.0
"""Log-odds above which a death is certain, short of the largest float32."""
_PLACES = np.arange(len(WET_SIZES))
_STEPS = (len(WET_SIZES) - 1) / (WET_SIZES[-1] - WET_SIZES[0])


@njit
def wetted(wetness: float, wet_share: float, wetting_days: float) -> float:
    """Crown wetness [0-1] after a day of which `wet_share` stood wet, before it dries."""
    return wetness + (1.0 - wetness) * (1.0 - math.exp(-wet_share / wetting_days))


@njit
def dried(wetness: float, wet_share: float, mean: float, thawed_days: float, frozen_days: float) -> float:
    """Crown wetness [0-1] after the dry part of the day; slower while frozen."""
    days = thawed_days if mean > THAWED else frozen_days
    return wetness * math.exp(-(1.0 - wet_share) / days)


@njit
def wet_kill_temperature(
    kill: float,
    dry_kill: float,
    wetness: float,
    size: float,
    swing_cost: float,
    exposure: float,
    fast_cost: float,
    soaked_kill: float,
    warmest: float,
    dry_swing_share: float,
) -> float:
    """Kill temperature [degC] of a crown of this wetness when water takes `size` of its hardiness.

    Never below the dry kill temperature, never above `warmest` (unless the dry one is).

    Args:
        kill, dry_kill [degC]: hardiness of the day; the same with exposure and swings for a dry crown.
        wetness [0-1]; size [0-1]: share of the way to `soaked_kill` that a full crown goes.
        swing_cost, exposure, fast_cost [K]: added by swings, long exposure and a fast freeze.
    Reference: judged; direction after Gusta and Fowler (1976, 1977), Tompkins et al. (1996).
    """
    shift = wetness * size * max(0.0, soaked_kill - kill)
    swing = swing_cost * (dry_swing_share + (1.0 - dry_swing_share) * wetness)
    wet = kill + exposure + swing + shift + wetness * fast_cost
    return max(dry_kill, min(wet, warmest))


def crown_water(
    kill: NDArray[np.floating], soft: float, wetness: NDArray[np.floating] | float = 0.0
) -> NDArray[np.float64]:
    """Water share of the crown's fresh weight [1]: dry when hardened, wet when soft or soaked.

    0.82 in growth, falling with hardness towards 0.50, the same curve for every grass, so that hardened bent
    is drier than hardened annual bluegrass; wetness moves it towards 0.80.

    Args:
        kill [degC]: kill temperature; soft [degC]: the same in growth. wetness [0-1].
    Reference: Kreuser (2017): 80-85 % growing, 50-60 % hardened; Tompkins et al. (1996): hardier is drier,
        bent drier than annual bluegrass; form judged.
    """
    hardened = np.maximum(0.0, soft - np.asarray(kill, dtype=np.float64))
    bound = WATER_LEAST + (WATER_SOFT - WATER_LEAST) * np.exp(-hardened / WATER_KELVIN)
    return np.asarray(bound + np.asarray(wetness) * np.maximum(0.0, WATER_SOAKED - bound))


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """Worst margins so far [K] (species, day, zone, member, part): dry, then wet at five shift sizes."""
    from winterrisk.hazards.harm import one_dose

    return one_dose("wet_freeze", winter_days, turf, traits)


def _wet_margin(dose: NDArray[np.floating], size: float | NDArray[np.float64]) -> NDArray[np.floating]:
    """Wet margin at this size of the shift, straight between the sizes worked."""
    place = np.clip(size, WET_SIZES[0], WET_SIZES[-1]) * _STEPS
    if np.ndim(place) == 0:
        below = min(int(place), len(WET_SIZES) - 2)
        share = dose.dtype.type(place - below)
        low = dose[..., below + 1]
        return np.asarray(low + share * (dose[..., below + 2] - low))
    weight = np.maximum(0.0, 1.0 - np.abs(place[..., None] - _PLACES)).astype(dose.dtype)
    return np.asarray(np.einsum("...p,...p->...", dose[..., 1:], weight))


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Extra chance of death [0-1] that water in the crown adds to the same cold on a dry one.

    With P(margin) the kill curve of cold, 1 - (1 - P_wet)/(1 - P_dry): combined with cold as independent it
    gives P_wet exactly. While a later, harder dry night takes over the kill the extra may fall; cold and
    wet freeze together never do.

    Args:
        dose (..., part) [K]: margins, part = dry, wet at sizes 0, 0.25, 0.5, 0.75, 1.
        thresholds: wet_shift.<species> [1], cold_offset [K], cold_spread [K]; broadcast against dose[..., 0].
        species: whose wet shift.
    """
    offset, spread = thresholds["cold_offset"], thresholds["cold_spread"]
    dry = dose[..., 0]
    wet = np.maximum(_wet_margin(dose, thresholds[f"wet_shift.{species}"]), dry)
    odds_wet = np.exp(np.minimum((wet + offset) / spread, MOST_LOG_ODDS))
    odds_dry = np.exp(np.minimum((dry + offset) / spread, MOST_LOG_ODDS))
    return np.asarray((odds_wet - odds_dry) / (1.0 + odds_wet))
