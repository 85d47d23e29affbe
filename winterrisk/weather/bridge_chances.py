"""What an uncertain temperature does to a threshold: freezing degree-hours in a gap, chance of passing a
limit."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from winterrisk.weather.bridge import ANOMALY_SPREAD, HOURLY_MEMORY, end_weights, gap_spread
from winterrisk.weather.freezing import expected_freezing_degree_hours, freezing_degree_hours

Array = NDArray[np.float64]


def freezing_in_gap(
    length: int,
    mean: float,
    before: float,
    after: float,
    spread: float = ANOMALY_SPREAD,
    memory: float = HOURLY_MEMORY,
) -> tuple[float, float]:
    """Freezing degree-hours of a gap [K h]: of its mean curve, and expected of all curves it may hide.

    The second is never less: a threshold asks for the spread, not for the best guess.

    Args:
        length [h]; mean [degC]: usual temperature; before, after [K]: anomalies at the ends; spread [K] and
        memory [1]: of the anomaly.
    """
    w0, w1 = end_weights(length, memory)
    curve = mean + w0 * before + w1 * after
    spreads = gap_spread(length, spread, memory)
    return freezing_degree_hours(curve), expected_freezing_degree_hours(curve, spreads)


def chance_past(limit: float, steepness: float, value: float, spread: float = 0.0) -> float:
    """Chance [1] that a value lies beyond (under) a limit that is itself known with a spread.

    Phi((limit - value) / sqrt(steepness^2 + spread^2)): not knowing the value raises small chances.

    Args:
        limit, steepness: mean and standard deviation of the limit, as a killing temperature and its slope;
        value, spread: likewise of what meets it.
    """
    return float(ndtr((limit - value) / np.hypot(steepness, spread)))
