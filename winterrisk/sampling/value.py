"""What plugs are worth: the expected gain from knowing before one orders seed or sod.

Act (order, prepare) costs `prepare` and turns the loss of a dead green from `unprepared` into `prepared`.
One acts where the chance of damage exceeds prepare / (unprepared - prepared).
Reference: Murphy (1977), the cost-loss ratio; value of sampling by plain expectation over the outcomes.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import comb

import numpy as np
from numpy.typing import NDArray

from winterrisk.course.sections import Money

Array = NDArray[np.float64]

NOT_GREEN_DAMAGED = 0.5150
"""Chance that a plug of a damaged zone does not green up [1]: half the spots dead, 2 % misread (judged)."""
NOT_GREEN_SOUND = 0.0494
"""Chance that a plug of a sound zone does not green up in time [1]: 2 % misread, 3 % late (judged)."""


@dataclass(frozen=True)
class Stakes:
    """Money at stake for one green, in the course's currency."""

    prepare: float = 4000.0
    loss_unprepared: float = 25200.0
    loss_prepared: float = 10800.0
    trip: float = 60.0
    plug: float = 20.0

    @classmethod
    def of(cls, money: Money) -> "Stakes":
        """The stakes a course file names."""
        return cls(money.prepare, money.loss_unprepared, money.loss_prepared, money.trip, money.plug)

    @property
    def act_above(self) -> float:
        """Chance of damage above which ordering pays [1]."""
        return self.prepare / (self.loss_unprepared - self.loss_prepared)

    def of_share(self, share: float) -> "Stakes":
        """The stakes of a part of the green: its share of the losses and of the order, the same trip and plugs."""
        return replace(
            self,
            prepare=self.prepare * share,
            loss_unprepared=self.loss_unprepared * share,
            loss_prepared=self.loss_prepared * share,
        )

    def cost_of_plugs(self, number: int) -> float:
        """Cost of one round of plugs."""
        return self.trip + self.plug * number


def expected_cost(chance: float | Array, stakes: Stakes, late: float = 0.0) -> Array:
    """Expected cost of the better of waiting and ordering, at a chance of damage [1]; late: what the order costs more
    for being late [currency]."""
    wait = np.asarray(chance) * stakes.loss_unprepared
    order = stakes.prepare + late + np.asarray(chance) * stakes.loss_prepared
    return np.minimum(wait, order)


def act_above(stakes: Stakes = Stakes()) -> float:
    """Chance of damage above which ordering pays [1]."""
    return stakes.act_above


def wait_or_order(chance: float, stakes: Stakes = Stakes()) -> tuple[float, float]:
    """Expected cost of waiting and of ordering, at a chance of damage [1]."""
    return chance * stakes.loss_unprepared, stakes.prepare + chance * stakes.loss_prepared


def value_of_certainty(chance: float, stakes: Stakes = Stakes()) -> float:
    """Expected gain from knowing for certain whether the zone is damaged."""
    informed = chance * min(stakes.loss_unprepared, stakes.prepare + stakes.loss_prepared)
    return float(expected_cost(chance, stakes) - informed)


@lru_cache(maxsize=32)
def ways_of(number: int) -> Array:
    """In how many ways 0, 1, ..., number of so many plugs can fail to green up (number + 1 values)."""
    return np.array([comb(number, k) for k in range(number + 1)], dtype=np.float64)


@lru_cache(maxsize=32)
def answers_by_state(
    number: int, not_green_damaged: float = NOT_GREEN_DAMAGED, not_green_sound: float = NOT_GREEN_SOUND
) -> Array:
    """Chance that 0, 1, ..., number plugs of a damaged and of a sound zone do not green up (2, number + 1) [1]."""
    k = np.arange(number + 1)
    return np.stack(
        [ways_of(number) * q**k * (1.0 - q) ** (number - k) for q in (not_green_damaged, not_green_sound)]
    )


def chance_after_plugs(
    chance: float,
    number: int,
    not_green_damaged: float = NOT_GREEN_DAMAGED,
    not_green_sound: float = NOT_GREEN_SOUND,
) -> Array:
    """Chance of damage [1] after 0, 1, ..., number plugs failed to green up (number + 1 values)."""
    damaged, sound = answers_by_state(number, not_green_damaged, not_green_sound)
    return np.asarray(chance * damaged / (chance * damaged + (1.0 - chance) * sound))


def value_of_plugs(
    chance: float,
    number: int,
    stakes: Stakes = Stakes(),
    not_green_damaged: float = NOT_GREEN_DAMAGED,
    not_green_sound: float = NOT_GREEN_SOUND,
) -> float:
    """Expected gain from deciding after the plugs instead of before them (their own cost not yet taken off).

    Args:
        chance [1]: of a damaged zone before the plugs; number: plugs of one round.
    """
    damaged, sound = answers_by_state(number, not_green_damaged, not_green_sound)
    total = chance * damaged + (1.0 - chance) * sound
    after = chance_after_plugs(chance, number, not_green_damaged, not_green_sound)
    return float(expected_cost(chance, stakes) - (total * expected_cost(after, stakes)).sum())


def best_number(chance: float, stakes: Stakes, least: int = 3, most: int = 6) -> tuple[int, float]:
    """The number of plugs with the greatest value less cost, and that gain (may be below 0)."""
    gains = {n: value_of_plugs(chance, n, stakes) - stakes.cost_of_plugs(n) for n in range(least, most + 1)}
    number = max(gains, key=lambda n: gains[n])
    return number, gains[number]
