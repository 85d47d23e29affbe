"""The day to cut plugs: after the damage, early enough for the verdict to change the order."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from winterrisk.sampling.value import NOT_GREEN_DAMAGED, NOT_GREEN_SOUND, Stakes, ways_of

VERDICT_DAYS = 8.0
"""Days from cut to verdict on a warm sill [d] (statistics notes; judged)."""
LATE_ORDER = 150.0
"""What an order costs more for each day it is later [currency per d] (illustrative, judged)."""


def expected_costs_by_pull_day(
    new_damage: Sequence[float],
    number: int,
    stakes: Stakes = Stakes(),
    *,
    days: Sequence[float] | None = None,
    verdict_days: float = VERDICT_DAYS,
    late_order: float = LATE_ORDER,
) -> NDArray[np.float64]:
    """Expected cost of cutting `number` plugs on each of some days, their own cost with it [currency].

    Plugs show only damage done by their day. What comes later still counts when one orders after the verdict, so
    both cutting too early and too late cost: nothing is learned, or the order comes late.

    Args:
        new_damage (day) [1]: chance of damage new on each day, given none before it.
        days (day) [d]: days from tonight, 0, 1, 2, ... where left out; late_order: for the stakes given.
    """
    new = np.asarray(new_damage, dtype=np.float64)
    lead = np.arange(len(new), dtype=np.float64) if days is None else np.asarray(days, dtype=np.float64)
    done = 1.0 - np.cumprod(1.0 - new)
    still = np.cumprod((1.0 - new)[::-1])[::-1]
    later = 1.0 - np.append(still[1:], 1.0)
    k, ways = np.arange(number + 1), ways_of(number)
    damaged = done[:, None] * ways * NOT_GREEN_DAMAGED**k * (1.0 - NOT_GREEN_DAMAGED) ** (number - k)
    sound = (1.0 - done[:, None]) * ways * NOT_GREEN_SOUND**k * (1.0 - NOT_GREEN_SOUND) ** (number - k)
    total = damaged + sound
    posterior = np.divide(damaged, total, out=np.zeros_like(total), where=total > 0.0)
    dead_in_the_end = 1.0 - (1.0 - posterior) * (1.0 - later[:, None])
    order = stakes.prepare + late_order * (lead[:, None] + verdict_days)
    cost = np.minimum(
        dead_in_the_end * stakes.loss_unprepared, order + dead_in_the_end * stakes.loss_prepared
    )
    return np.asarray(stakes.cost_of_plugs(number) + (total * cost).sum(axis=1))


def best_pull_day(
    new_damage: Sequence[float],
    number: int,
    stakes: Stakes = Stakes(),
    *,
    days: Sequence[float] | None = None,
    late_order: float = LATE_ORDER,
) -> int:
    """Place of the day with the least expected cost among `new_damage`; the first of equals."""
    return int(
        np.argmin(expected_costs_by_pull_day(new_damage, number, stakes, days=days, late_order=late_order))
    )
