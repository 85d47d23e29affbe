"""How wrong a straight line is over hours that the record does know, against the spread of a bridge."""

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.bridge import gap_spread
from winterrisk.weather.usual import WINDOW

Array = NDArray[np.float64]

DAYS_PER_YEAR: Final = 365.25
BELIEVED: Final = 30.0
"""Gaps that the first-order series counts for beside those tried on the record [1] (judged)."""


def bridge_shares(anomaly: Array, lengths: Iterable[int], spread: float) -> dict[int, float]:
    """By length of a gap [h]: the error of a straight line on this record over the spread of a bridge [1].

    A first-order series is rougher from hour to hour than air that is measured as hourly means, so its
    bridge is too unsure of short gaps, most of all at a station with wide swings. Here every stretch of known
    hours as long as the gap is left out in turn and drawn anew; the root mean square error over that of
    `bridge.gap_spread`, drawn towards 1 where the record offers few such stretches. An hour that is left out is
    also left out of the usual value of its hour of the day, so that its anomaly grows by n / (n - 1).

    Args:
        anomaly (time): NaN where missing; lengths [h]; spread: standard deviation of the anomaly.
    """
    known = np.isfinite(anomaly)
    gone = np.concatenate([[0], np.cumsum(~known)])
    grown = _left_out(float(known.sum()) / 24.0)
    return {length: _share(anomaly, gone, length, spread, grown) for length in set(lengths)}


def _left_out(days: float) -> float:
    """Anomaly of an hour that is left out of its usual value, over the anomaly from the mean with it [1]."""
    window = 2 * WINDOW + 1
    values = max(min(days, window), window * days / DAYS_PER_YEAR, 2.0)
    return values / (values - 1.0)


def _share(anomaly: Array, gone: NDArray[np.int64], length: int, spread: float, grown: float) -> float:
    whole = length + 2
    if len(anomaly) < whole or spread <= 0.0:
        return 1.0
    first = np.flatnonzero(gone[whole:] == gone[:-whole])
    before, after = anomaly[first], anomaly[first + length + 1]
    squares = 0.0
    for k in range(1, length + 1):
        drawn = before + (after - before) * k / (length + 1)
        squares += float(np.sum((grown * anomaly[first + k] - drawn) ** 2))
    said = float(np.sum(gap_spread(length, spread) ** 2))
    apart = len(first) / (length + 1)
    return float(np.sqrt((BELIEVED + squares / (said * (length + 1))) / (BELIEVED + apart)))
