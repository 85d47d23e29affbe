"""Across a gap: what the two ends say about the hours between, and how surely.

The anomaly (a value less the usual one of that day and hour) is taken as a first-order autoregressive series.
Given both ends, its mean and spread in the gap follow; the same weights draw another winter's weather to the
ends.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

HOURLY_MEMORY: Final = 0.97
"""Correlation of the temperature anomaly from one hour to the next [1] (judged)."""
ANOMALY_SPREAD: Final = 4.0
"""Standard deviation of the temperature anomaly [K] where the record is too short to tell (judged)."""
SHORT_GAP: Final = 12
"""Longest gap that is bridged in a straight line [h]; beyond, another winter's weather carries it (Henn et
al. 2013)."""


def gap_spread(
    length: int, spread: float = ANOMALY_SPREAD, memory: float = HOURLY_MEMORY, at: ArrayLike | None = None
) -> Array:
    """Standard deviation (hour of the gap) of the anomaly between two known ends, in the unit of `spread`.

    s sqrt((1 - phi^2k)(1 - phi^2(G+1-k)) / (1 - phi^2(G+1))).

    Args:
        length G [h]: hours missing; spread s: of the anomaly; memory phi [1]: correlation hour to hour.
        at k [h]: hours after the last known value, default 1..G.
    """
    k = _hours(length, at)
    before, after = memory ** (2 * k), memory ** (2 * (length + 1 - k))
    return spread * np.sqrt((1 - before) * (1 - after) / (1 - memory ** (2 * (length + 1))))


def open_end_spread(
    length: int, spread: float = ANOMALY_SPREAD, memory: float = HOURLY_MEMORY, at: ArrayLike | None = None
) -> Array:
    """Standard deviation (hour) of the anomaly after the last known value, in the unit of `spread`.

    Args:
        at [h]: hours after the last known value, default 1..length.
    """
    return spread * np.sqrt(1 - memory ** (2 * _hours(length, at)))


def end_weights(
    length: int, memory: float = HOURLY_MEMORY, at: ArrayLike | None = None
) -> tuple[Array, Array]:
    """Weights (hour) of the anomaly before and after a gap in the expected anomaly within it.

    phi^k (1 - phi^2(G+1-k)) / (1 - phi^2(G+1)) for the one before, the mirror image for the one after.
    """
    k = _hours(length, at)
    whole = 1 - memory ** (2 * (length + 1))
    back = length + 1 - k
    before = memory**k * (1 - memory ** (2 * back)) / whole
    after = memory**back * (1 - memory ** (2 * k)) / whole
    return before, after


def open_end_weights(length: int, memory: float = HOURLY_MEMORY) -> Array:
    """Weights (hour) of the last known anomaly in the expected anomaly after it."""
    return memory ** _hours(length, None)


def _hours(length: int, at: ArrayLike | None) -> Array:
    hours = np.arange(1, length + 1) if at is None else at
    return np.asarray(hours, dtype=np.float64)


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
