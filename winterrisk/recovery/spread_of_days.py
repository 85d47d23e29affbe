"""Days of many springs told as early, middle and late."""

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.weighted import weighted_quantiles

TELLS = (0.10, 0.50, 0.90)


@dataclass(frozen=True)
class DayRange:
    """Days by which 10, 50 and 90 % of the springs have come so far; None where they have not by the last day told."""

    p10: dt.date | None
    p50: dt.date | None
    p90: dt.date | None


def weighted_days(days: NDArray[np.float64], weight: NDArray[np.float64]) -> tuple[float, float, float]:
    """Days (member) at 10, 50 and 90 % of the weight: the first at which so much of it has come; may be inf."""
    low, middle, high = weighted_quantiles(days, weight, TELLS)
    return low, middle, high


def day_range(days: NDArray[np.float64], weight: NDArray[np.float64], first: dt.date) -> DayRange:
    """The range of days (member), counted from the date `first`."""
    return DayRange(
        *(
            None if not np.isfinite(day) else first + dt.timedelta(days=int(day))
            for day in weighted_days(days, weight)
        )
    )
