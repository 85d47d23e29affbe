"""Which other stretch of the record lends its weather to a gap."""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart, generator

LEAST_KNOWN: Final = 0.9
"""Share of the hours that a lending stretch must have measured [1] (judged)."""
SMALLEST_MOVE, LARGEST_MOVE = 3, 10
"""Days by which a year's weather is moved when it is lent again [d] (judged)."""
DAYS_PER_YEAR: Final = 365.2425
SAME_SEASON: Final = tuple(range(7, 36))
"""Days back or on within one winter, where no other year can lend [d] (judged: past the memory of the weather
and within the season)."""


def lending_shifts(
    known: NDArray[np.bool_], first: int, length: int, *, key: tuple[KeyPart, ...], count: int = 1
) -> list[int]:
    """Shifts [h] to stretches of the record whose weather can fill a gap, `count` of them in keyed order.

    Earlier years before anything else, so that the choice stays the same when the record grows; each year
    once before any is used again, then moved by 3 to 10 days. Without an earlier year: earlier days of the
    season, then later years.

    Args:
        known (time): hours that were measured; first: index of the gap's first hour; length [h].
        key: what the choice hangs on (course, gap).
    Returns:
        An empty list where nothing can lend.
    """
    cumulative = np.concatenate([[0], np.cumsum(known)])

    def lends(shift: int) -> bool:
        begin, end = first + shift, first + shift + length
        overlaps = abs(shift) < length
        inside = begin >= 0 and end <= len(known) and not overlaps
        return bool(inside and cumulative[end] - cumulative[begin] >= LEAST_KNOWN * length)

    years = [24 * round(n * DAYS_PER_YEAR) for n in range(1, int(len(known) / (24 * DAYS_PER_YEAR)) + 2)]
    season = [24 * days for days in SAME_SEASON]
    for candidates in ([-s for s in years], [-s for s in season], years[:1], season):
        shifts = [s for s in candidates if lends(s)]
        if shifts:
            break
    else:
        return []
    order = generator(*key, "lending year").permutation(len(shifts))
    return [
        _moved(shifts[order[turn % len(shifts)]], turn // len(shifts), lends, (*key, turn))
        for turn in range(count)
    ]


def moved_days(key: tuple[KeyPart, ...]) -> int:
    """A keyed number of days from 3 to 10, forwards or backwards [d]."""
    rng = generator(*key, "moved days")
    return int(rng.integers(SMALLEST_MOVE, LARGEST_MOVE + 1)) * (1 if rng.random() < 0.5 else -1)


def _moved(shift: int, again: int, lends: Callable[[int], bool], key: tuple[KeyPart, ...]) -> int:
    if again == 0:
        return shift
    days = moved_days(key)
    return next((s for s in (shift + 24 * days, shift - 24 * days) if lends(s)), shift)
