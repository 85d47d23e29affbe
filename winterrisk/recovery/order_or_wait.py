"""Order seed and sod now, or wait for the plugs: what each is expected to cost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from winterrisk.sampling.value import (
    NOT_GREEN_DAMAGED,
    NOT_GREEN_SOUND,
    Stakes,
    chance_after_plugs,
    expected_cost,
)


@dataclass(frozen=True)
class OrderOrWait:
    """Expected costs in the course's currency at a chance of damage [1].

    order: order now. never: order nothing. plugs: cut a round, then take the better of the two on the verdict.
    """

    chance: float
    order: float
    never: float
    plugs: float

    @property
    def best(self) -> str:
        """The cheapest of "order", "plugs" and "never"; of equals the first of these."""
        costs = {"order": self.order, "plugs": self.plugs, "never": self.never}
        return min(costs, key=lambda name: costs[name])


def order_or_wait(chance: float, stakes: Stakes, *, number: int = 6, settled: bool = False) -> OrderOrWait:
    """What ordering now, never ordering, and waiting for plugs are expected to cost.

    Args:
        chance [1]: that the zone is damaged so that seed or sod is needed. number: plugs of one round.
        settled: a survey has been: plugs would tell nothing, so waiting for them is as dear as never ordering
            or ordering, with the plugs on top.
    Reference: Murphy (1977), the cost-loss ratio.
    """
    order = stakes.prepare + chance * stakes.loss_prepared
    never = chance * stakes.loss_unprepared
    spent = stakes.cost_of_plugs(number)
    told = min(order, never) if settled else _after_plugs(chance, stakes, number)
    return OrderOrWait(chance, order, never, spent + told)


def _chance_of_outcomes(chance: float, number: int) -> NDArray[np.float64]:
    """Chance that 0, 1, ..., number plugs fail to green up."""
    from scipy.stats import binom

    k = np.arange(number + 1)
    damaged = binom.pmf(k, number, NOT_GREEN_DAMAGED)
    return np.asarray(chance * damaged + (1 - chance) * binom.pmf(k, number, NOT_GREEN_SOUND))


def _after_plugs(chance: float, stakes: Stakes, number: int, later: float = 0.0) -> float:
    """Expected cost once the verdict is in [currency]; `later`: chance of damage after the cut, unseen by it."""
    told = chance_after_plugs(chance, number)
    whole = told + (1 - told) * later
    return float((_chance_of_outcomes(chance, number) * expected_cost(whole, stakes)).sum())


def cost_by_pull_day(
    increments: Sequence[float],
    stakes: Stakes = Stakes(),
    *,
    number: int = 6,
    verdict_after: int = 8,
    dearer_per_day: float = 150.0,
    plugs_cost: float | None = None,
    days: Sequence[int] | None = None,
) -> NDArray[np.float64]:
    """Expected cost of cutting the plugs on each day of a spell and ordering on their verdict [currency] (day).

    Cut early, plugs miss the damage to come; cut late, the order grows dearer.

    Args:
        increments [1]: chance on each day that damage is done that day, given none before.
        verdict_after [d]: from the cut to the verdict. dearer_per_day: rise of the order's cost from day 0 on.
        plugs_cost: of the round; from the stakes when left out. days: those wanted; all when left out.
    """
    alive = np.cumprod(1.0 - np.asarray(increments, dtype=np.float64))
    spent = stakes.cost_of_plugs(number) if plugs_cost is None else plugs_cost
    costs = []
    for day, sound in enumerate(alive):
        dearer = replace(stakes, prepare=stakes.prepare + dearer_per_day * (day + verdict_after))
        later = 1.0 - alive[-1] / sound if sound > 0 else 0.0
        costs.append(spent + _after_plugs(1.0 - float(sound), dearer, number, float(later)))
    return np.asarray(costs if days is None else [costs[day] for day in days])
