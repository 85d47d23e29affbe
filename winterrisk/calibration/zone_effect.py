"""What a zone stands beyond its course: averaged over a few points of a normal spread of ln days without air."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

ZONE_SPREAD: Final = "ice_zone_spread"
"""Row of the table: standard deviation of the logarithm between zones [1]."""
POINTS: Final = 5
"""Points of the average (Gauss and Hermite: exact for polynomials up to degree 9)."""


class ZoneEffect(NamedTuple):
    """Factors of the ice dose (point) [1] and the logarithm of their weights (point)."""

    factors: Array
    log_weight: Array


def zone_effect(spread: float) -> ZoneEffect:
    """Points of a lognormal factor of the ice dose about 1 with this standard deviation of its logarithm [1]."""
    if spread == 0.0:
        return ZoneEffect(np.ones(1), np.zeros(1))
    at, weight = np.polynomial.hermite_e.hermegauss(POINTS)
    return ZoneEffect(np.exp(spread * at), np.log(weight / weight.sum()))
