"""What a spring survey of the dead share says: a class of the beta distribution round the expectation."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc

SURVEY_CLASSES = (0.0, 0.005, 0.05, 0.10, 0.20, 0.30, 0.50, 0.70, 0.90, 1.0)
"""Edges of the survey's classes of dead share [1] (common practice, no source)."""
NARROWEST = 0.005
"""A class is never taken to be narrower than this [1] (judged: nobody sees half a per cent)."""
SMALLEST_LIKELIHOOD = 1e-6
"""Floor that keeps one wrong class from ruling out everything (judged: about a slip in a million)."""


def survey_log_likelihood(
    p: NDArray[np.float64], dead_low: float, dead_high: float, precision: ArrayLike
) -> NDArray[np.float64]:
    """Log chance that the dead share lies in the surveyed class, for expected dead shares p (...).

    The dead share is Beta(p phi, (1-p) phi), integrated over the class, so that 0 and 100 % have a chance.

    Args:
        p [1]; dead_low, dead_high [1]: edges of the class; precision [1]: phi, broadcast against p.
    """
    low, high = min(dead_low, dead_high), max(dead_low, dead_high)
    if high - low < NARROWEST:
        low, high = max(0.0, low - NARROWEST), min(1.0, high + NARROWEST)
    phi = np.asarray(precision, dtype=np.float64)
    inner = np.clip(p, 1e-6, 1 - 1e-6)
    a, b = inner * phi, (1 - inner) * phi
    below = 0.0 if low <= 0 else betainc(a, b, low)
    upto = 1.0 if high >= 1 else betainc(a, b, high)
    return np.asarray(np.log(np.maximum(upto - below, SMALLEST_LIKELIHOOD)))
