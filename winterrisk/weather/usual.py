"""The usual value of a variable at each day of the year and hour, from the record itself."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

WINDOW: Final = 15
"""Days on either side that count as the same time of the year [d] (common practice)."""
DAYS: Final = 366
FEWEST: Final = 5
"""Values that make a usual value (judged)."""


@dataclass(frozen=True)
class Usual:
    """Usual value (day of the year, hour of the day) and the spread of the anomalies about it."""

    table: Array
    spread: float

    def at(self, times: NDArray[np.datetime64]) -> Array:
        """The usual value (time)."""
        day, hour = day_and_hour(times)
        return self.table[day, hour]


def day_and_hour(times: NDArray[np.datetime64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Day of the year (0 = 1 January) and UTC hour of the day of each time."""
    hours = np.asarray(times).astype("datetime64[h]")
    days = hours.astype("datetime64[D]")
    of_year = (days - days.astype("datetime64[Y]")).astype(np.int64)
    return of_year, (hours - days).astype(np.int64)


def usual(times: NDArray[np.datetime64], values: Array, spread: float) -> Usual:
    """The usual value of each day of the year and hour: the mean over 31 days and all years of the record.

    Args:
        times (time), values (time): NaN where missing; spread: taken where the record cannot tell.
    """
    known = np.isfinite(values)
    day, hour = day_and_hour(times)
    total, count = np.zeros((DAYS, 24)), np.zeros((DAYS, 24))
    np.add.at(total, (day[known], hour[known]), values[known])
    np.add.at(count, (day[known], hour[known]), 1.0)
    total, count = _over_window(total), _over_window(count)
    by_hour = total.sum(0) / np.maximum(count.sum(0), 1.0)
    with np.errstate(invalid="ignore"):
        table = np.where(count >= FEWEST, total / np.maximum(count, 1.0), by_hour)
    anomaly = values[known] - table[day[known], hour[known]]
    enough = known.sum() >= 24 * 2 * WINDOW
    return Usual(table, float(np.std(anomaly)) if enough else spread)


def _over_window(table: Array) -> Array:
    padded = np.concatenate([table[-WINDOW:], table, table[:WINDOW]])
    sums = np.concatenate([np.zeros((1, 24)), np.cumsum(padded, axis=0)])
    return sums[2 * WINDOW + 1 :] - sums[: -(2 * WINDOW + 1)]
