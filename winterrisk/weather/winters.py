"""Winters by name, and which past ones can follow on from tonight."""

from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.course.calendar import FIRST_MONTH, winter_of
from winterrisk.science.keyed import KeyPart, generator
from winterrisk.weather.other_winters import moved_days

Array = NDArray[np.float64]
HOUR = np.timedelta64(1, "h")
LEAST_MEASURED: Final = 0.8
"""Share of its hours that a past winter must have measured to follow [1] (judged)."""
LEAST_AT_ALL: Final = 0.3
"""The same where none has so many [1] (judged: a winter whose holes other years filled is a possible one too, and
better than no look ahead)."""
FEW_WINTERS: Final = 4
"""Past winters below which a winter that is used again is also made warmer or colder (judged)."""
WINTERS_DIFFER: Final = 1.5
"""Standard deviation between winters of the mean temperature, December to March [K]: 1.6 over 30 winters of a Great
Lakes airport, 1.3 over 36 at Champion, Nebraska."""


@dataclass(frozen=True)
class Following:
    """A past winter that a path follows: its first year, the days it is moved, hours from its time to ours, and
    how much warmer it is made [K]."""

    winter: int
    moved: int
    shift: int
    warmer: float = 0.0

    @property
    def name(self) -> str:
        """As in "2021-22", "2021-22 moved +5 days" or "2021-22 moved +5 days, 1.2 K colder"."""
        moved = f" moved {self.moved:+d} days" if self.moved else ""
        other = (
            f", {abs(self.warmer):.1f} K {'warmer' if self.warmer > 0 else 'colder'}" if self.warmer else ""
        )
        return winter_name(self.winter) + moved + other


def first_year(time: np.datetime64) -> int:
    """The year in which the winter of a time began."""
    month = np.datetime64(time).astype("datetime64[M]").astype(np.int64)
    return int(1970 + (month - (FIRST_MONTH - 1)) // 12)


def winter_name(year: int) -> str:
    """As in "2025-26"."""
    return winter_of(date(year, FIRST_MONTH, 1))


def winter_begin(time: np.datetime64) -> np.datetime64:
    """The hour in which the winter of a time began: 1 July."""
    return np.datetime64(f"{first_year(time)}-{FIRST_MONTH:02d}-01T00", "h")


def winter_end(time: np.datetime64) -> np.datetime64:
    """The hour in which the winter of a time is over: 1 July."""
    return np.datetime64(f"{first_year(time) + 1}-{FIRST_MONTH:02d}-01T00", "h")


def years_apart(winter: int, source: int) -> int:
    """Whole hours from a date of one winter back to the same date of another, counted from 1 August.

    After a 29 February the dates are a day apart until July; no day is skipped or told twice.
    """
    days = np.datetime64(f"{winter}-08-01") - np.datetime64(f"{source}-08-01")
    return 24 * int(days.astype(np.int64))


def followings(
    measured: NDArray[np.bool_],
    times: NDArray[np.datetime64],
    begins: np.datetime64,
    until: np.datetime64,
    *,
    key: tuple[KeyPart, ...],
    count: int,
    warmth: Array,
) -> list[Following]:
    """For each of `count` paths the past winter it follows; empty where none is known.

    The choice hangs on course and winter, not on the night. Of more winters than paths each path takes one from
    its own share of them in order of warmth, so that few paths stand for all. Of fewer every winter is used once
    before any is used again, then moved by 3 to 10 days; where fewer than four are on record, a winter used again is
    also made warmer or colder, as winters differ: one known winter is not what must come.

    Args:
        measured (time): hours of the record that were measured; times (time): UTC, no hour left out.
        begins, until: of the winter's weather that a source must cover.
        key: begins with the course; warmth (time) [degC]: air temperature of the record.
    """
    winter = first_year(until - HOUR)
    cumulative = np.concatenate([[0], np.cumsum(measured)])
    start = int((begins.astype("datetime64[h]") - times[0].astype("datetime64[h]")) / HOUR)
    length = int((until.astype("datetime64[h]") - begins.astype("datetime64[h]")) / HOUR)

    def covers(shift: int, least: float) -> bool:
        first, last = start - shift, start - shift + length
        inside = first >= 0 and last <= len(times)
        return bool(inside and cumulative[last] - cumulative[first] >= least * length)

    years = [(y, years_apart(winter, y)) for y in range(first_year(times[0]), winter)]
    for least in (LEAST_MEASURED, LEAST_AT_ALL):
        known = [(year, shift) for year, shift in years if covers(shift, least)]
        if known:
            break
    else:
        return []
    draw = generator(*key, winter_name(winter), "past winters")
    order = draw.permutation(len(known))
    if len(known) > count:
        means = [float(warmth[start - s : start - s + length].mean()) for _, s in known]
        edges = np.linspace(0.0, len(known), count + 1)
        place = np.floor(edges[:-1] + draw.random(count) * np.diff(edges)).astype(np.int64)
        order = draw.permutation(np.argsort(means, kind="stable")[place])
    chosen = []
    for path in range(count):
        year, shift = known[order[path % len(known)]]
        moved, warmer = 0, 0.0
        if path >= len(known):
            days = moved_days((*key, winter_name(winter), path))
            moved = next((d for d in (days, -days) if covers(shift - 24 * d, least)), 0)
            if len(known) < FEW_WINTERS:
                other = generator(*key, winter_name(winter), path, "warmer").standard_normal()
                warmer = WINTERS_DIFFER * float(other)
        chosen.append(Following(year, moved, shift - 24 * moved, warmer))
    return chosen
