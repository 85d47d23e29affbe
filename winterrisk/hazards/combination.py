"""Putting hazards together, and telling apart afterwards which one did it."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from winterrisk.hazards.names import CAUSES
from winterrisk.hazards.swings import swing_share

Array = NDArray[np.float64]

MATERIAL = 0.1
"""Share of the harm from which ice and wet freeze each count as a cause to be told apart (judged)."""
TOGETHER_DAYS = 14
"""Days between the rise of ice and of wet-freeze harm within which timing cannot tell them apart (judged)."""
_MOST = 1.0 - 1e-12


def combine(chances: Mapping[str, NDArray[np.floating]]) -> NDArray[np.floating]:
    """Chance of death by any of the hazards [0-1], independent: 1 - prod(1 - p)."""
    alive: NDArray[np.floating] | float = 1.0
    for chance in chances.values():
        alive = alive * (1.0 - chance)
    return np.asarray(1.0 - alive)


def cumulative(values: NDArray[np.floating], axis: int = 0) -> NDArray[np.floating]:
    """Running maximum of a dose or chance over days: what is dead stays dead."""
    return np.maximum.accumulate(values, axis=axis)


def timing_apart(
    ice: NDArray[np.floating], wet_freeze: NDArray[np.floating], axis: int = 0
) -> NDArray[np.bool_]:
    """Whether the days on which each did half its harm lie far enough apart to tell them [bool].

    Args:
        ice, wet_freeze (day, ...) [0-1]: chances over the days so far.
    """
    half_day = []
    for chance in (ice, wet_freeze):
        so_far = np.maximum.accumulate(np.asarray(chance), axis=axis)
        final = np.take(so_far, [-1], axis=axis)
        half_day.append(np.argmax(so_far >= 0.5 * final, axis=axis))
    return np.asarray(np.abs(half_day[0] - half_day[1]) > TOGETHER_DAYS)


def harm_amounts(
    chances: Mapping[str, NDArray[np.floating]],
    swings: NDArray[np.floating] | float = 0.0,
    apart: NDArray[np.bool_] | bool = False,
) -> dict[str, Array]:
    """Harm -ln(1 - p) by cause [1]; amounts add up to that of the combined chance.

    Swings take their part of cold and wet freeze. Ice and wet freeze, both material and not told apart by
    timing, go to `mixed` together.

    Args:
        chances: hazard or "background" -> chance [0-1].
        swings: number of swings so far.
        apart: whether timing tells ice from wet freeze (`timing_apart`); unknown counts as not.
    """
    amounts = {
        name: -np.log1p(-np.minimum(np.asarray(chances.get(name, 0.0), dtype=np.float64), _MOST))
        for name in CAUSES
    }
    part = swing_share(swings)
    for name in ("cold", "wet_freeze"):
        taken = amounts[name] * part
        amounts[name] = amounts[name] - taken
        amounts["swings"] = amounts["swings"] + taken
    total = sum(amounts.values())
    both = np.minimum(amounts["ice"], amounts["wet_freeze"]) > MATERIAL * total
    mixed = both & ~np.asarray(apart)
    amounts["mixed"] = np.where(mixed, amounts["ice"] + amounts["wet_freeze"], 0.0)
    for name in ("ice", "wet_freeze"):
        amounts[name] = np.where(mixed, 0.0, amounts[name])
    return amounts


def shares(
    chances: Mapping[str, NDArray[np.floating]],
    swings: NDArray[np.floating] | float = 0.0,
    apart: NDArray[np.bool_] | bool = False,
) -> dict[str, Array]:
    """Share of the harm by cause [1], adding to 1 (all 0 where there is no harm); see `harm_amounts`."""
    amounts = harm_amounts(chances, swings, apart)
    total = np.asarray(sum(amounts.values()))
    safe = np.where(total > 0.0, total, 1.0)
    return {name: amount / safe for name, amount in amounts.items()}
