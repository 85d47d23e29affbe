"""Which winters a record holds, how much of each was measured, and why one cannot be judged."""

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import xarray as xr

from winterrisk.course import Course, local_days, winter_of, winter_start
from winterrisk.science.day_words import day_month
from winterrisk.weather.variables import FILLED
from winterrisk.weather.winters import LEAST_MEASURED

MONTHS: Final = ("Nov", "Dec", "Jan", "Feb", "Mar")
"""Months in which a winter's harm is done nearly everywhere (judged)."""
FIRST, LAST = 11, 3
LEAST_OF_A_MONTH: Final = 0.5
"""Share of its hours that each of these months must have measured [1] (judged)."""
MOST_LATE: Final = 92
"""A winter whose record begins more than three months after 1 July is not replayed [d] (judged)."""


@dataclass(frozen=True)
class OnRecord:
    """A winter of a record: share of the hours of November to March with temperature and precipitation
    measured [1], the months of it that miss more than half, the first and last measured day, and why it cannot
    be judged (empty where it can)."""

    winter: str
    measured: float
    missing: tuple[str, ...]
    first: dt.date
    last: dt.date
    why: str

    @property
    def in_time(self) -> bool:
        """Whether the record begins early enough to replay what there is."""
        return self.first <= winter_start(self.winter) + dt.timedelta(days=MOST_LATE)


def on_record(weather: xr.Dataset, course: Course) -> list[OnRecord]:
    """Every winter from the first to the last of which the record has an hour of November to March, in order.

    A winter is judged where every month from November to March has half of its hours measured and all of them
    together four fifths, and where the record reaches back to 1 October: snow and ground before are needed.

    Args:
        weather (time): the whole record as `weather.complete` gives it.
    """
    days = local_days(weather["time"].to_numpy(), course.timezone)
    measured = np.logical_and(
        weather["air_temperature_origin"].to_numpy() < FILLED,
        weather["precipitation_origin"].to_numpy() < FILLED,
    )
    known = days[measured]
    month = known.astype("datetime64[M]").astype(int) % 12 + 1
    cold = known[(month >= FIRST) | (month <= LAST)]
    if not len(cold):
        return []
    year, last = (winter_start(winter_of(day.astype(dt.date))).year for day in (cold[0], cold[-1]))
    return [_one(known, y) for y in range(year, last + 1)]


def _one(known: np.ndarray, year: int) -> OnRecord:
    start = np.datetime64(f"{year}-07-01", "D")
    inside = known[(known >= start) & (known < np.datetime64(f"{year + 1}-07-01", "D"))]
    begins = np.datetime64(f"{year}-{FIRST:02d}", "M") + np.arange(len(MONTHS) + 1)
    edges = begins.astype("datetime64[D]")
    counts = np.array([np.sum((inside >= a) & (inside < b)) for a, b in pairwise(edges)])
    hours = 24 * (edges[1:] - edges[:-1]).astype(int)
    shares = np.minimum(counts / hours, 1.0)
    missing = tuple(m for m, share in zip(MONTHS, shares, strict=True) if share < LEAST_OF_A_MONTH)
    share = float(min(1.0, counts.sum() / hours.sum()))
    name = winter_of(dt.date(year, 7, 1))
    if not len(inside):
        nothing = start.astype(dt.date)
        return OnRecord(name, 0.0, MONTHS, nothing, nothing, "nothing measured")
    first, last = (d.astype(dt.date) for d in (inside[0], inside[-1]))
    return OnRecord(name, share, missing, first, last, _why(name, share, missing, first, last))


def _why(winter: str, share: float, missing: tuple[str, ...], first: dt.date, last: dt.date) -> str:
    late = winter_start(winter) + dt.timedelta(days=MOST_LATE)
    found = []
    if first > late:
        found.append(f"the record begins {_day(first)}, snow and ground before it are unknown")
    if missing:
        found.append(f"{', '.join(missing)} less than half measured")
        if MONTHS[-1] in missing and last < dt.date(winter_start(winter).year + 1, 3, 31):
            found.append(f"the record ends {_day(last)}")
    elif share < LEAST_MEASURED:
        found.append("too many gaps")
    if not found:
        return ""
    return f"{'; '.join(found)} ({share:.0%} of November to March measured)"


def _day(day: dt.date) -> str:
    return f"{day_month(day)} {day.year}"
