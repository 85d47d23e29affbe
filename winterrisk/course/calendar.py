"""Winters, the course's local days and the hour a night is worked at: pure arithmetic of dates."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any, Final
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

FIRST_MONTH: Final = 7
"""A winter runs from 1 July to 30 June."""
REPLAY_MONTH: Final = 8
"""A replay starts on 1 August, with the soil at July's air temperature."""
NIGHT_HOUR: Final = 4
"""Local hour a night is worked at: what is known by then counts."""


def winter_of(day: date) -> str:
    """The winter a date belongs to, as "2024-25": 1 July to 30 June."""
    year = day.year if day.month >= FIRST_MONTH else day.year - 1
    return f"{year}-{(year + 1) % 100:02d}"


def winter_start(winter: str) -> date:
    """First day of a winter such as "2024-25": 1 July 2024.

    Raises:
        ValueError: not a winter's name.
    """
    match = re.fullmatch(r"(\d{4})-(\d{2})", winter)
    if match is None or (int(match[1]) + 1) % 100 != int(match[2]):
        raise ValueError(f"found {winter!r}, expected a winter such as 2024-25")
    return date(int(match[1]), FIRST_MONTH, 1)


def winter_end(winter: str) -> date:
    """Last day of a winter such as "2024-25": 30 June 2025."""
    start = winter_start(winter)
    return start.replace(year=start.year + 1) - timedelta(days=1)


def replay_start(winter: str) -> date:
    """First day of a winter's replay: 1 August."""
    return winter_start(winter).replace(month=REPLAY_MONTH)


def utc_instant(day: date, hour: int, timezone: str) -> np.datetime64:
    """UTC of a local clock hour on a date, naive, to the minute.

    An hour that comes twice is the first of the two; a skipped hour is the instant the old clock would show.
    """
    import numpy as np

    local = datetime.combine(day, time(hour), tzinfo=ZoneInfo(timezone))
    return np.datetime64(local.astimezone(UTC).replace(tzinfo=None), "m")


def night_instant(day: date, timezone: str) -> np.datetime64:
    """UTC of 04:00 local on a date: a night's answer uses what is known by then."""
    return utc_instant(day, NIGHT_HOUR, timezone)


def day_start(day: date, timezone: str) -> np.datetime64:
    """UTC of local midnight at the start of a date."""
    return utc_instant(day, 0, timezone)


def day_hours(day: date, timezone: str) -> int:
    """Hours in a local day: 24, or 23 and 25 when the clocks change."""
    import numpy as np

    length = day_start(day + timedelta(days=1), timezone) - day_start(day, timezone)
    return round(float(length / np.timedelta64(1, "h")))


def local_days(times: ArrayLike, timezone: str) -> NDArray[np.datetime64]:
    """Local date of each UTC time, as datetime64[D].

    An hour that straddles local midnight belongs to the day it starts in.

    Args:
        times (time) [UTC, naive]: starts of the hours.
        timezone: IANA name.
    """
    import numpy as np
    import pandas as pd

    utc: Any = pd.DatetimeIndex(np.asarray(times, dtype="datetime64[s]"), tz="UTC")
    return np.asarray(utc.tz_convert(timezone).tz_localize(None).to_numpy(), dtype="datetime64[D]")
