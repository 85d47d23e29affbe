"""What is usual in a record for the time of the year and of the day, and how far values stray from it."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.checks.series import Array
from winterrisk.weather.usual import DAYS, day_and_hour

HALF_WINDOW: Final = 7
"""Days on either side: a window of 15 days (Durre et al. 2010)."""
HALF_HOURS: Final = 1
"""Hours of the day on either side that count as the same hour (judged)."""
FEWEST: Final = 100
"""Days in the window below which nothing is said: seven years of them (Durre et al. 2010)."""
TRIM: Final = 4.0
"""Standard deviations beyond which a value does not count in the second pass (judged; stands for the biweight
of the source)."""


@dataclass(frozen=True)
class Normals:
    """Usual value and standard deviation (time); NaN where the record is too short to tell."""

    mean: Array
    spread: Array

    def score(self, values: Array, least_spread: float) -> Array:
        """Standardised distance from the usual (time)."""
        return (values - self.mean) / np.maximum(self.spread, least_spread)


def normals(times: NDArray[np.datetime64], values: Array, *, daily: bool, fewest: int = FEWEST) -> Normals:
    """Mean and standard deviation over 15 days of the year, 3 hours of the day and all years, values beyond
    four standard deviations left out.

    Args:
        times (time), values (time): NaN where missing; daily: one value a day;
            fewest: days in the window below which nothing is said.
    Reference: Durre et al. (2010), climatological outlier check.
    """
    day, hour = day_and_hour(times)
    slots = 1 if daily else 24
    each = 1 if daily else 2 * HALF_HOURS + 1
    cell = day * slots + (0 if daily else hour)
    known = np.isfinite(values)
    mean = spread = np.zeros(0)
    for _ in range(2):
        count, total, square = (
            _over_window(np.bincount(cell[known], weights, DAYS * slots).reshape(DAYS, slots))
            for weights in (None, values[known], values[known] ** 2)
        )
        with np.errstate(invalid="ignore", divide="ignore"):
            middle = total / count
            table = np.sqrt(np.maximum(square / count - middle**2, 0.0))
        told = count >= fewest * each
        mean = np.where(told, middle, np.nan)[day, 0 if daily else hour]
        spread = np.where(told, table, np.nan)[day, 0 if daily else hour]
        known = known & ~(np.abs(values - mean) > TRIM * spread)
    return Normals(mean, spread)


def _over_days(table: Array) -> Array:
    padded = np.concatenate([table[-HALF_WINDOW:], table, table[:HALF_WINDOW]])
    sums = np.concatenate([np.zeros((1, table.shape[1])), np.cumsum(padded, axis=0)])
    return sums[2 * HALF_WINDOW + 1 :] - sums[: -(2 * HALF_WINDOW + 1)]


def _over_window(table: NDArray[np.number]) -> Array:
    days = _over_days(table.astype(np.float64))
    if table.shape[1] == 1:
        return days
    return sum((np.roll(days, k, axis=1) for k in range(-HALF_HOURS, HALF_HOURS + 1)), np.zeros_like(days))
