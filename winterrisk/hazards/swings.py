"""Thaw-then-freeze swings: what they cost in hardiness, and their share when harm is told apart.

Swings have no chance of their own: they raise the kill temperature that cold and wet freezes meet.
"""

import math

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.compiled import njit

Array = NDArray[np.float64]

THAW = 1.0
"""degC at the crown that makes a thaw (design of the swing count)."""
FREEZE = -1.0
"""degC at the crown that ends it."""
SHARE_PER_SWING = 0.1
"""Part of the harm by cold and wet freeze that one swing answers for (judged)."""
MOST_SHARE = 0.5
"""Most that swings answer for (judged)."""


@njit
def swing_cost_after(cost: float, swings: float, each: float, cap: float, fading: float) -> float:
    """Hardiness lost to swings [K] after a day with `swings` swings; older cost fades with `fading` days.

    Reference: two cycles cost winter cereals 5 degC on average, Gusta and Fowler (1977); pace judged.
    """
    return min(cap, cost * math.exp(-1.0 / fading) + each * swings)


@njit
def lasting_swings(waiting: float, swings: float, mean: float) -> tuple[float, float]:
    """Swings still waiting to count and swings that count today [1].

    A night frost on a mild day costs nothing; a swing counts once a freeze lasts (daily crown mean below 0
    degC), and of several mild nights only one. Longer freezing raises damage, Gusta and Fowler (1977).
    """
    if mean < 0.0:
        return 0.0, max(waiting, swings)
    return max(waiting, min(1.0, swings)), 0.0


def swing_days(crown_min: Array, crown_max: Array) -> Array:
    """Swings of each day (day) [1] where only daily extremes are known: a freeze after an earlier day's thaw.

    Counted with hysteresis: after a freeze of -1 degC or below the next swing needs a new thaw to +1.

    Args:
        crown_min, crown_max (day) [degC]: crown temperature extremes.
    """
    counted = np.zeros(len(crown_min))
    thawed = False
    for day, (low, high) in enumerate(zip(crown_min, crown_max, strict=True)):
        if thawed and low <= FREEZE:
            counted[day] = 1.0
            thawed = False
        thawed = thawed or high >= THAW
    return counted


def swing_share(swings: NDArray[np.floating] | float) -> Array:
    """Part of the harm by cold and wet freeze put down to this many swings [1] (judged)."""
    return np.minimum(MOST_SHARE, SHARE_PER_SWING * np.asarray(swings, dtype=np.float64))
