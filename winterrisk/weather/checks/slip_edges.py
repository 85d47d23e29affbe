"""Slips from one unit into another: how they are told, and the stretches between their edges."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found
from winterrisk.weather.checks.series import Array, Flags, Series
from winterrisk.weather.checks.telling import Telling, named

LONGEST_GAP: Final = 24
"""Longest gap across which an edge is believed [steps] (judged)."""


@dataclass(frozen=True)
class Slip:
    """A way to be in the wrong unit: what the values are, what they were taken for, and what is true."""

    unit: str
    taken_for: str
    true: Callable[[Array], Array]


def between(enter: Flags, leave: Flags, known: NDArray[np.int64]) -> Iterator[tuple[int, int, int]]:
    """First and last position and number of edges of the stretches from an edge in to the next edge out.

    From the record's begin, or to its end, a stretch has one edge.

    Args:
        enter, leave (known - 1): whether the change between two known values is an edge in, an edge out.
        known (known): positions of the known values.
    """
    start: int | None = None
    seen = False
    for at in np.flatnonzero(enter | leave):
        if start is not None and leave[at]:
            yield int(known[start]), int(known[at]), 2
            start = None
        elif start is None and enter[at]:
            start = int(at) + 1
        elif not seen and leave[at]:
            yield int(known[0]), int(known[at]), 1
        seen = True
    if start is not None:
        yield int(known[start]), int(known[-1]), 1


def slip_found(tell: Telling, one: Series, slip: Slip, first: int, last: int) -> Found:
    """The finding: bad, with the likely unit and what the farthest value would be in it."""
    stretch = one.values[first : last + 1]
    at = first + int(np.nanargmax(np.abs(stretch - slip.true(stretch))))
    value = float(one.values[at])
    true = float(slip.true(np.array([value]))[0])
    text = (
        f"{named(one.name)} looks like {slip.unit} taken for {slip.taken_for}: {tell.value(one.name, value)} "
        f"would be {tell.value(one.name, true)}; left out"
    )
    until = one.until(last)
    move = f"give these rows in the unit of the rest of the file (station.columns.{one.name})"
    words = tell.sentence(one.times[first], until, text, move)
    return Found(one.name, one.times[first], until, value, true, "bad", "unit_slip", words)
