"""Plugs one after another: the line at which to stop."""

from typing import NamedTuple

import numpy as np


class StopLines(NamedTuple):
    """Stop when dead plugs after n leave the band slope x n + (low, high)."""

    slope: float
    low: float
    high: float


def stop_lines(p0: float, p1: float, alpha: float = 0.1, beta: float = 0.1) -> StopLines:
    """Lines of the sequential test of dead share p0 against p1: below accept p0, above accept p1.

    Reference: Wald (1947), Sequential Analysis, from memory.
    """
    odds = np.log(p1 * (1.0 - p0) / (p0 * (1.0 - p1)))
    slope = np.log((1.0 - p0) / (1.0 - p1)) / odds
    return StopLines(
        float(slope), float(-np.log((1.0 - alpha) / beta) / odds), float(np.log((1.0 - beta) / alpha) / odds)
    )


def earliest_acceptance(p0: float, p1: float, alpha: float = 0.1, beta: float = 0.1) -> int:
    """Live plugs in a row after which p0 is accepted."""
    lines = stop_lines(p0, p1, alpha, beta)
    return int(np.ceil(-lines.low / lines.slope))
