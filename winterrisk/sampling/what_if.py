"""Clear or leave: what clearing a zone would do to its chance of damage, and whether that can be told at all."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

TELLING: Final = 0.03
"""Difference of the two chances below which they are too close to call [1] (judged)."""
AGREED: Final = 0.75
"""Share of the possible winters that must lean the same way [1] (judged)."""


@dataclass(frozen=True)
class Comparison:
    """Chance that more than a quarter is dead left alone and cleared, with 10-90 % ends [1], the share of possible
    winters in which clearing is better, and the verdict."""

    leave: float
    leave_range: tuple[float, float]
    clear: float
    clear_range: tuple[float, float]
    better: float
    verdict: str


def compared(leave: Array, clear: Array, weight: Array) -> Comparison:
    """The two futures of the same members and draws, side by side.

    Both have the same weather, ground and thresholds, so that their difference is that of the clearing alone.

    Args:
        leave, clear (member, draw) [1]: chance that more than a quarter of the zone is dead by the end.
        weight (member, draw): of each pair.
    """
    w = weight / weight.sum()
    a, b = float((leave * w).sum()), float((clear * w).sum())
    by_member = ((clear - leave) * w).sum(axis=1) / np.maximum(w.sum(axis=1), 1e-12)
    own = w.sum(axis=1)
    better = float(own[by_member < 0.0].sum())
    worse = float(own[by_member > 0.0].sum())
    verdict = "too close to call"
    if a - b >= TELLING and better >= AGREED * (better + worse):
        verdict = "clear"
    elif b - a >= TELLING and worse >= AGREED * (better + worse):
        verdict = "leave"
    return Comparison(a, _range(leave, w), b, _range(clear, w), better, verdict)


def _range(value: Array, weight: Array) -> tuple[float, float]:
    per_draw = weight.sum(axis=0)
    mean = (value * weight).sum(axis=0) / np.maximum(per_draw, 1e-12)
    order = np.argsort(mean)
    at = np.cumsum(per_draw[order])
    centre = (at - 0.5 * per_draw[order]) / at[-1]
    low, high = np.interp((0.1, 0.9), centre, mean[order])
    return float(low), float(high)
