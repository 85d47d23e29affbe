"""What a zone stands beyond its course: averaged over a few points of a normal spread of ln days without air."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

Array = NDArray[np.float64]

ZONE_SPREAD: Final = "ice_zone_spread"
"""Row of the table: standard deviation of the logarithm between zones [1]."""
POINTS, STEP = 5, 1.0
"""Points of the average and their distance, in standard deviations. Evenly spaced ones serve the steep chances of plugs
ten times better than as many Gauss-Hermite points (held against 81 points: tests/calibration/test_model.py)."""


class ZoneEffect(NamedTuple):
    """Factors of the ice dose (point) [1] and the logarithm of their weights (point)."""

    factors: Array
    log_weight: Array


def zone_effect(spread: float, points: int = POINTS, step: float = STEP) -> ZoneEffect:
    """Points of a lognormal factor of the ice dose about 1 with this standard deviation of its logarithm [1]."""
    if spread == 0.0:
        return ZoneEffect(np.ones(1), np.zeros(1))
    at = (np.arange(points) - 0.5 * (points - 1)) * step
    log_weight = -0.5 * at**2
    return ZoneEffect(np.exp(spread * at), log_weight - logsumexp(log_weight))
