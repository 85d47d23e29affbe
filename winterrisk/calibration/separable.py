"""Whether the evidence can tell two ways of dying apart: turf that one of them alone could have killed."""

from typing import Final, NamedTuple

import numpy as np

from winterrisk.calibration.model import CourseModel

COULD_HAVE: Final = 0.25
"""Expected dead share from which a way of dying could be what killed [1] (judged: parts of a zone)."""
RIVALS: Final = {"ice": "wet_freeze", "wet_freeze": "ice"}
"""Ways of dying that lie in the same undrained lows; only timing separates them."""
HAZARD_OF_ROW: Final = {"ice_multiplier": "ice", "ice_steepness": "ice", "wet_shift": "wet_freeze"}


class Apart(NamedTuple):
    """Dead plugs and surveys that a hazard could explain, and how many of them its rival could too."""

    hazard: str
    rival: str
    dead: int
    both: int

    @property
    def never(self) -> bool:
        """True where dead turf is on record and never without the rival."""
        return self.dead > 0 and self.both == self.dead


def told_apart(model: CourseModel, row: str) -> Apart | None:
    """How far the dead turf on record tells a row's hazard from its rival, at central thresholds.

    Args:
        row: key of a learned row; None comes back for rows of other hazards.
    """
    hazard = HAZARD_OF_ROW.get(row.split(".")[0])
    if hazard is None:
        return None
    rival = RIVALS[hazard]
    draws = model.draws(np.zeros((1, len(model.rows))))
    dead = both = 0
    for place in model.places:
        own, other = place.dead_by(hazard, draws), place.dead_by(rival, draws)
        weight = np.exp(place.log_weight)
        for piece, seen in zip(place.pieces, place.seen, strict=True):
            if not piece.dead:
                continue
            shares = [
                float(weight @ sum(part * by[seen.day, s] for s, part in seen.cover.items())[:, 0])
                for by in (own, other)
            ]
            if shares[0] >= COULD_HAVE:
                dead += piece.dead
                both += piece.dead if shares[1] >= COULD_HAVE else 0
    return Apart(hazard, rival, dead, both)
