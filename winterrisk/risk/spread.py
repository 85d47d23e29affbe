"""How the dead share of a zone scatters about its expectation: the beta distribution, from a table in p."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc

Array = NDArray[np.float64]

BANDS = ("trace", "spots", "parts", "most")
BAND_LIMITS = (0.005, 0.05, 0.25, 0.60)
"""Lower limits of the dead share [1] (judged; the common survey classes allow them)."""
PARTS = BANDS.index("parts")
"""Place of the band from which turf counts as harmed: more than a quarter dead."""

P_POINTS = 1025
SHARE_POINTS = 401


@lru_cache(maxsize=1)
def p_grid() -> Array:
    """Expected dead shares at which the tables are worked, denser towards 0 and 1."""
    return np.asarray(0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, P_POINTS))))


@lru_cache(maxsize=1)
def share_grid() -> Array:
    """Dead shares at which the mixture's distribution is worked, denser towards 0 and 1."""
    return np.asarray(0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, SHARE_POINTS))))


def chance_at_most(p: Array, share: Array | float, precision: float) -> Array:
    """P(dead share <= share) [1] where the dead share is Beta(p phi, (1-p) phi).

    Args:
        p [1]: expected dead share; 0 and 1 mean none and all for certain.
        share [1]: limit of the dead share; precision [1]: phi.
    """
    inner = np.clip(p, 1e-9, 1 - 1e-9)
    value = betainc(inner * precision, (1 - inner) * precision, share)
    return np.asarray(
        np.where(p <= 0, 1.0, np.where(p >= 1, np.where(np.asarray(share) >= 1, 1.0, 0.0), value))
    )


@lru_cache(maxsize=8)
def _band_table(precision: float) -> Array:
    p = p_grid()
    return np.stack([1.0 - chance_at_most(p, limit, precision) for limit in BAND_LIMITS])


@lru_cache(maxsize=8)
def _share_table(precision: float) -> Array:
    return chance_at_most(p_grid()[:, None], share_grid()[None, :], precision)


def band_chance(p: Array, precision: float) -> Array:
    """P(dead share > band) (band, ...) [1] for expected dead shares p (...) [1]."""
    table, grid = _band_table(precision), p_grid()
    return np.stack([np.interp(p, grid, row) for row in table])


def mixture_quantiles(p: Array, weight: Array, at: tuple[float, ...], precision: float) -> Array:
    """Quantiles [1] of the dead share over the whole weighted mixture of beta distributions.

    Args:
        p (n), weight (n): expected dead shares and their weights (any sum).
        at: probabilities of the quantiles wanted.
    """
    grid = p_grid()
    place = np.clip(np.searchsorted(grid, p.ravel(), side="right") - 1, 0, P_POINTS - 2)
    part = (p.ravel() - grid[place]) / (grid[place + 1] - grid[place])
    w = weight.ravel() / weight.sum()
    mass = np.bincount(place, w * (1 - part), P_POINTS) + np.bincount(place + 1, w * part, P_POINTS)
    cumulative = mass @ _share_table(precision)
    return np.interp(at, np.maximum.accumulate(cumulative), share_grid())
