"""Cold kill: the night's crown minimum against the kill temperature of a dry crown."""

import math
from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray
from scipy.special import expit

from winterrisk.science.compiled import njit

Values = Mapping[str, float | NDArray[np.float64]]

FULLY_HARDENED = 0.85
"""Hardening from which the cold offset counts fully: annual bluegrass in midwinter (judged)."""
CLOSE = 2.0
"""K above the kill temperature within which margins count as they are (judged)."""


@njit
def exposed_days_after(exposed: float, mean: float, kill: float, margin: float) -> float:
    """Days in a row [d] with a crown mean within `margin` [K] of the kill temperature, after today."""
    return exposed + 1.0 if mean < kill + margin else 0.0


@njit
def dry_kill_temperature(
    kill: float, exposed: float, swing_cost: float, exposure_cost: float, dry_swing_share: float
) -> float:
    """Kill temperature [degC] that a dry crown meets tonight, after long exposure and swings.

    Reference: longer exposure kills more, Anderson (2003), shape only; sizes judged.
    """
    return kill + exposure_cost * math.log(1.0 + exposed) + dry_swing_share * swing_cost


@njit
def certainty(hardening: float, least: float) -> float:
    """Share of the cold offset that turf of this hardening [0-1] takes [1]; 1 in midwinter (judged).

    The offset stands for hardening worked out too strong or too weak: studies of one grass disagree by some
    4 K in midwinter and by 1 K on soft turf. With the spread of the grass's own rows that makes about 3 K
    in November, when half of the hardening is there.
    """
    return least + (1.0 - least) * min(1.0, hardening / FULLY_HARDENED)


@njit
def least_margin(span: float, least: float) -> float:
    """Margin [K] below which nights are all alike: no chance, and the point up to which hardier is never worse.

    The stretch of `felt_margin` eases by (1 - least)/0.85 over the span of hardening; beyond this margin it would
    ease faster than the margin widens.
    """
    return -CLOSE - FULLY_HARDENED * span / (1.0 - least)


@njit
def felt_margin(margin: float, share: float, floor: float) -> float:
    """Margin below the kill temperature [K] as the kill curve feels it, not below `floor`.

    Nights more than 2 K above the kill temperature count as further away where that temperature is known
    closely, so that a wide offset does not kill soft turf at light frosts. Never falls when margin rises, nor
    rises when turf is hardier.
    """
    return margin if margin >= -CLOSE else max(floor, -CLOSE + (margin + CLOSE) / share)


def dose(
    winter_days: xr.Dataset, turf: xr.Dataset, traits: Mapping[str, NDArray[np.float64]]
) -> xr.DataArray:
    """How far the coldest night so far went below the kill temperature [K] (species, day, zone, member).

    The running maximum of kill temperature minus crown minimum, on days before spring growth.
    """
    from winterrisk.hazards.harm import one_dose

    return one_dose("cold", winter_days, turf, traits)


def chance(dose: NDArray[np.floating], thresholds: Values, species: str) -> NDArray[np.float64]:
    """Chance of death by cold [0-1] (shape of dose and thresholds, broadcast).

    1/(1 + exp(-(dose + cold_offset)/cold_spread)).

    Args:
        dose (...) [K]: margin below the kill temperature.
        thresholds: cold_offset [K], cold_spread [K].
        species: not used; one kill curve for all grasses.
    Reference: Bergjord et al. (2008), spread 1.019 K; Hoglind et al. (2016), 0.96-1.
    """
    return np.asarray(expit((dose + thresholds["cold_offset"]) / thresholds["cold_spread"]))
