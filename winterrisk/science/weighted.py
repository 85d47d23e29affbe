"""Quantiles of weighted values."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

ROUNDING = 1e-12
"""Share of the weight by which a sum may fall short of the share asked for and still count as it."""


def weighted_quantiles(values: ArrayLike, weight: ArrayLike, at: Sequence[float]) -> tuple[float, ...]:
    """The smallest values that at least the shares `at` [1] of the weight lie at or below; values may be inf.

    Args:
        values (n); weight (n): not negative, any sum above 0; at: shares of the weight, 0 to 1.
    """
    v, w = np.asarray(values, dtype=np.float64), np.asarray(weight, dtype=np.float64)
    order = np.argsort(v, kind="stable")
    share = np.cumsum(w[order]) / w.sum()
    places = np.minimum(np.searchsorted(share, np.asarray(at) - ROUNDING), len(v) - 1)
    return tuple(float(x) for x in v[order][places])


def weighted_median(values: ArrayLike, weight: ArrayLike) -> float:
    """The smallest value that at least half of the weight lies at or below."""
    return weighted_quantiles(values, weight, (0.5,))[0]
