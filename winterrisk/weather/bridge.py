"""Across a gap: what the two ends say about the hours between, and how surely.

The anomaly (a value less the usual one of that day and hour) is taken as a first-order autoregressive
series. Given
both ends, its mean and spread in the gap follow; the same weights draw another winter's weather to the ends.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

HOURLY_MEMORY: Final = 0.97
"""Correlation of the temperature anomaly from one hour to the next [1] (measured on station records; judged
as one
value for all)."""
ANOMALY_SPREAD: Final = 4.0
"""Standard deviation of the temperature anomaly [K] where the record is too short to tell (as
HOURLY_MEMORY)."""
SHORT_GAP: Final = 12
"""Longest gap that is bridged in a straight line [h]; beyond, another winter's weather carries it (Henn et
al. 2013)."""


def gap_spread(length: int, spread: float = ANOMALY_SPREAD, memory: float = HOURLY_MEMORY) -> Array:
    """Standard deviation (hour of the gap) of the anomaly between two known ends, in the unit of `spread`.

    s sqrt((1 - phi^2k)(1 - phi^2(G+1-k)) / (1 - phi^2(G+1))), k = 1..G.

    Args:
        length [h]: hours missing; spread: of the anomaly; memory [1]: correlation hour to hour.
    """
    k = np.arange(1, length + 1)
    before, after = memory ** (2 * k), memory ** (2 * (length + 1 - k))
    return spread * np.sqrt((1 - before) * (1 - after) / (1 - memory ** (2 * (length + 1))))


def open_end_spread(length: int, spread: float = ANOMALY_SPREAD, memory: float = HOURLY_MEMORY) -> Array:
    """Standard deviation (hour) of the anomaly after the last known value, in the unit of `spread`."""
    k = np.arange(1, length + 1)
    return spread * np.sqrt(1 - memory ** (2 * k))


def end_weights(length: int, memory: float = HOURLY_MEMORY) -> tuple[Array, Array]:
    """Weights (hour) of the anomaly before and after a gap in the expected anomaly within it."""
    k = np.arange(1, length + 1)
    whole = 1 - memory ** (2 * (length + 1))
    before = memory**k * (1 - memory ** (2 * (length + 1 - k))) / whole
    return before, before[::-1].copy()


def open_end_weights(length: int, memory: float = HOURLY_MEMORY) -> Array:
    """Weights (hour) of the last known anomaly in the expected anomaly after it."""
    return memory ** np.arange(1, length + 1)


def straight_line(length: int, before: float, after: float) -> Array:
    """Values (hour) in a straight line between two ends."""
    return before + (after - before) * np.arange(1, length + 1) / (length + 1)


def across(length: int, before: float, after: float) -> Array:
    """Expected anomaly (hour) in a gap: a straight line up to 12 h, then fading from both ends.

    Args:
        length [h]; before, after: anomalies at the ends, NaN where the record has no such end.
    """
    has_before, has_after = np.isfinite(before), np.isfinite(after)
    if has_before and has_after:
        if length <= SHORT_GAP:
            return straight_line(length, before, after)
        w0, w1 = end_weights(length)
        return w0 * before + w1 * after
    if has_before:
        return open_end_weights(length) * before
    if has_after:
        return open_end_weights(length)[::-1] * after
    return np.zeros(length)


def spread_across(length: int, before: float, after: float, spread: float) -> Array:
    """Standard deviation (hour) that belongs to `across`."""
    has_before, has_after = np.isfinite(before), np.isfinite(after)
    if has_before and has_after:
        return gap_spread(length, spread)
    if has_before:
        return open_end_spread(length, spread)
    if has_after:
        return open_end_spread(length, spread)[::-1].copy()
    return np.full(length, spread)
