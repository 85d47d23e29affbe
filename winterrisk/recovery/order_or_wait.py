"""Order seed and sod now, or wait for the plugs: what each is expected to cost."""

from dataclasses import dataclass

from winterrisk.sampling.value import Stakes, expected_cost, value_of_plugs, wait_or_order


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
    never, order = wait_or_order(chance, stakes)
    spent = stakes.cost_of_plugs(number)
    told = min(order, never) if settled else _after_plugs(chance, stakes, number)
    return OrderOrWait(chance, order, never, spent + told)


def _after_plugs(chance: float, stakes: Stakes, number: int) -> float:
    """Expected cost once the verdict is in [currency], the plugs' own not counted."""
    return float(expected_cost(chance, stakes)) - value_of_plugs(chance, number, stakes)
