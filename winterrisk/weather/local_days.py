"""Local days of a course on a UTC axis of hours, from midnight or another clock hour: 23, 24 or 25 hours
long."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

HOUR = np.timedelta64(1, "h")
MIDNIGHT = 24
"""Clock hour at which a day ends, where nobody says otherwise [h]."""


@dataclass(frozen=True)
class LocalDays:
    """Hours of consecutive local days: their UTC axis, each day's first hour on it and its length."""

    times: NDArray[np.datetime64]
    days: NDArray[np.datetime64]
    first: NDArray[np.int64]
    length: NDArray[np.int64]

    @property
    def day_of_hour(self) -> NDArray[np.int64]:
        """Position of each hour's day among `days` (time)."""
        return np.repeat(np.arange(len(self.days)), self.length)


def midnights(days: NDArray[np.datetime64], timezone: str) -> NDArray[np.datetime64]:
    """UTC hour in which each local day begins (day)."""
    local = pd.DatetimeIndex(days).tz_localize(timezone, ambiguous=True, nonexistent="shift_forward")
    return local.tz_convert("UTC").tz_localize(None).floor("h").to_numpy().astype("datetime64[ns]")


def day_end_hours(
    days: NDArray[np.datetime64], timezone: str, ends: int = MIDNIGHT
) -> NDArray[np.datetime64]:
    """UTC hour in which a day of readings ends (day): at the clock hour `ends` of its date, 24 = midnight."""
    if ends == MIDNIGHT:
        return midnights(days + np.timedelta64(1, "D"), timezone)
    return midnights(days + np.timedelta64(ends, "h"), timezone)


def hours_of_days(days: NDArray[np.datetime64], timezone: str, ends: int = MIDNIGHT) -> LocalDays:
    """The hours of a run of consecutive local days.

    Args:
        days (day): local dates without a gap; timezone: IANA name; ends [h]: clock hour at which the day of a
            date ends, having begun at that hour of the date before; 24 = the day itself.
    """
    before = np.append(days[:1] - np.timedelta64(1, "D"), days)
    begins = day_end_hours(before, timezone, ends)
    index = ((begins - begins[0]) / HOUR).astype(np.int64)
    times = begins[0] + np.arange(index[-1]) * HOUR
    return LocalDays(times.astype("datetime64[ns]"), days, index[:-1], np.diff(index))
