"""Freezing degree-hours of an air temperature, known or with a spread."""

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr


def freezing_degree_hours(temperature: ArrayLike) -> float:
    """Sum of the degrees below zero over hours [K h] of an hourly temperature [degC]."""
    return float(np.sum(np.maximum(-np.asarray(temperature, dtype=np.float64), 0.0)))


def expected_freezing_degree_hours(mean: ArrayLike, spread: ArrayLike) -> float:
    """Expected freezing degree-hours [K h] of a temperature that is only known with a spread.

    Never less than those of the mean: what is not known counts on the cold side.

    Args:
        mean (hour) [degC]; spread (hour) [K]: standard deviation of a normal error.
    """
    m = -np.asarray(mean, dtype=np.float64)
    s = np.maximum(np.asarray(spread, dtype=np.float64), 1e-9)
    z = m / s
    return float(np.sum(m * ndtr(z) + s * np.exp(-(z**2) / 2.0) / np.sqrt(2.0 * np.pi)))
