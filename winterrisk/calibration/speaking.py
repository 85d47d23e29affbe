"""Which pieces of evidence can speak of a row: those whose expected dead share depends on its value."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from winterrisk.calibration.model import CourseModel

Array = NDArray[np.float64]

MATTERS = 0.1
"""Change of the expected dead share [1] between the prior's ends from which a piece speaks (judged)."""


class Spoken(NamedTuple):
    """Plugs and surveys that speak of a row, and how many of them point to live and to dead turf."""

    plugs: int
    surveys: int
    alive: int
    dead: int


def speaking(model: CourseModel, ends: Array) -> Spoken:
    """The evidence that speaks of a row.

    Args:
        ends (2, row): whitened unknowns, the row at its prior's 5 and 95 %, the others at their middle.
    """
    plugs: set[str] = set()
    surveys: set[str] = set()
    alive = dead = 0
    draws = model.draws(ends)
    for place in model.places:
        expected = place.dead(draws)
        weight = np.exp(place.log_weight)
        for piece, seen in zip(place.pieces, place.seen, strict=True):
            share = sum(part * expected[seen.day, s] for s, part in seen.cover.items())
            at_ends = weight @ np.broadcast_to(share, (len(weight), 2))
            if abs(at_ends[1] - at_ends[0]) < MATTERS:
                continue
            (plugs if piece.kind == "plug" else surveys).update(
                f"{piece.winter} {name}" for name in piece.ids
            )
            alive += piece.alive
            dead += piece.dead
    return Spoken(len(plugs), len(surveys), alive, dead)
