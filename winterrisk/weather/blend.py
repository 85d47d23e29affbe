"""Several estimates of one quantity made into one: best weights, spread, and whether they agree."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

LEAST_SPREAD: Final = 1e-6
"""Smallest spread an estimate may claim: keeps the covariance from being singular."""


def covariance_of(spread: ArrayLike, correlation: ArrayLike | None = None) -> Array:
    """Covariance (estimate, estimate) of errors with these standard deviations; independent unless told.

    Args:
        spread (estimate); correlation (estimate, estimate) [1]: of the errors, as of two models fed alike.
    """
    s = np.maximum(np.asarray(spread, dtype=np.float64), LEAST_SPREAD)
    r = np.eye(len(s)) if correlation is None else np.asarray(correlation, dtype=np.float64)
    return np.asarray(r * np.outer(s, s))


def blend_weights(spread: ArrayLike, correlation: ArrayLike | None = None, *, clipped: bool = True) -> Array:
    """Weights (estimate) [1] of the best linear unbiased blend, adding to 1: S^-1 1 / (1' S^-1 1).

    A weight below 0, which strongly correlated errors ask for, is cut to 0 unless `clipped` is False: that
    estimate is left out and the weights of the others are worked anew.

    Args:
        spread (estimate): standard deviations; correlation (estimate, estimate): of the errors.
    Reference: Aitken (1935), generalised least squares; from memory.
    """
    s = covariance_of(spread, correlation)
    weights = np.zeros(len(s))
    kept = np.ones(len(s), dtype=bool)
    while True:
        solved = np.linalg.solve(s[np.ix_(kept, kept)], np.ones(int(kept.sum())))
        weights[:] = 0.0
        weights[kept] = solved / solved.sum()
        if not clipped or (weights >= 0.0).all():
            return weights
        kept &= weights > 0.0


def blended(
    values: ArrayLike, spread: ArrayLike, correlation: ArrayLike | None = None
) -> tuple[float, float]:
    """The blend of several unbiased estimates and its standard deviation, in their unit.

    Args:
        values, spread (estimate); correlation (estimate, estimate) [1]: of the errors.
    """
    weights = blend_weights(spread, correlation)
    s = covariance_of(spread, correlation)
    return float(weights @ np.asarray(values, dtype=np.float64)), float(np.sqrt(weights @ s @ weights))


def birge_ratio(values: ArrayLike, spread: ArrayLike, correlation: ArrayLike | None = None) -> float:
    """How much further estimates lie apart than their spreads allow [1]: at least 1, to widen the blend by.

    sqrt(chi2 / (k - 1)) where that exceeds 1.

    Args:
        values, spread (estimate); correlation (estimate, estimate) [1]: of the errors.
    Reference: Birge (1932), Phys. Rev. 40; from memory.
    """
    one = np.asarray(values, dtype=np.float64)[:, None]
    return float(birge_ratios(one, spread, correlation)[0])


def birge_ratios(values: Array, spread: ArrayLike, correlation: ArrayLike | None = None) -> Array:
    """`birge_ratio` (hour) of estimates (estimate, hour) whose spreads do not change."""
    if len(values) < 2:
        return np.ones(values.shape[1])
    off = values - blend_weights(spread, correlation) @ values
    chi2 = np.sum(off * np.linalg.solve(covariance_of(spread, correlation), off), axis=0)
    return np.asarray(np.sqrt(np.maximum(chi2 / (len(values) - 1), 1.0)))
