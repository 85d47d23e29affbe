"""The day to cut plugs: after the damage, early enough for the verdict to change the order."""

from collections.abc import Sequence

import numpy as np

from winterrisk.sampling.answers import DAMAGED_SHARE, Array, Possible, answers
from winterrisk.sampling.value import Stakes, expected_cost

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
) -> Array:
    """Expected cost of cutting `number` plugs on each of some days, their own cost with it (day) [currency].

    Plugs show only damage done by their day. What comes later still counts when one orders after the verdict, so
    both cutting too early and too late cost: nothing is learned, or the order comes late.

    Args:
        new_damage (day) [1]: chance of damage new on each day, given none before it.
        days (day) [d]: days from tonight, 0, 1, 2, ... where left out; late_order [currency per d]: for these stakes.
    """
    new = np.asarray(new_damage, dtype=np.float64)
    still = np.cumprod(np.concatenate(([1.0], 1.0 - new)))
    place = np.arange(len(new))
    done = np.append(place[:, None] >= place, np.zeros((len(new), 1), dtype=bool), axis=1)
    zone = Possible(
        DAMAGED_SHARE * done,
        np.append(np.ones(len(new)), 0.0),
        np.append(still[:-1] * new, still[-1]),
        0.0,
        np.inf,
    )
    costs = np.empty(len(new))
    for day, lead in enumerate(place if days is None else days):
        chance, harmed = answers(zone.pairs_of(day), zone, number)
        after = np.divide(harmed, chance, out=np.zeros_like(chance), where=chance > 0.0)
        late = late_order * (lead + verdict_days)
        costs[day] = (chance * expected_cost(after, stakes, late)).sum() + stakes.cost_of_plugs(number)
    return costs


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
