"""Local days of a course on a UTC axis of hours: 23, 24 or 25 hours long."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

HOUR = np.timedelta64(1, "h")


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


def hours_of_days(days: NDArray[np.datetime64], timezone: str) -> LocalDays:
    """The hours of a run of consecutive local days.

    Args:
        days (day): local dates without a gap; timezone: IANA name.
    """
    after = np.append(days, days[-1] + np.timedelta64(1, "D"))
    begins = midnights(after, timezone)
    index = ((begins - begins[0]) / HOUR).astype(np.int64)
    times = begins[0] + np.arange(index[-1]) * HOUR
    return LocalDays(times.astype("datetime64[ns]"), days, index[:-1], np.diff(index))
