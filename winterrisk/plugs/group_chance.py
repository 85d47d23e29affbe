"""Plugs of one zone, grass and cut judged together: the chance that each of them is dead."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from winterrisk.plugs.beta_binomial import log_chance_of_dead_set

Array = NDArray[np.float64]
STEPS = 18
"""Halvings of the share of live plugs still brown: to a few in a million."""


@dataclass(frozen=True)
class PlugChances:
    """Log chance of each plug's looks (n) if it lives and if it is dead."""

    log_alive: Array
    log_dead: Array


@dataclass(frozen=True)
class StayingBrown:
    """Plugs of which some are brown and stay so.

    brown (n): the brown ones. missed (n) [1]: chance that a live plug is never called green; false_green [1].
    """

    now: PlugChances
    brown: NDArray[np.bool_]
    missed: Array
    false_green: float

    def when(self, still_brown: float) -> PlugChances:
        """Chances at the age at which a share of live plugs would still be brown [1]."""
        late = np.log((1.0 - self.missed) * still_brown + self.missed)
        return PlugChances(
            np.where(self.brown, late, self.now.log_alive),
            np.where(self.brown, np.log1p(-self.false_green), self.now.log_dead),
        )


@lru_cache(maxsize=4096)
def _dead_set_chances(n: int, prior: float, rho: float) -> Array:
    return np.exp([float(log_chance_of_dead_set(k, n, prior, rho)) for k in range(n + 1)])


def _by_dead(alive: Array, dead: Array) -> Array:
    coefficients = np.ones(1)
    for a, d in zip(alive, dead, strict=True):
        coefficients = np.convolve(coefficients, (a, d))
    return coefficients


def dead_chances(
    plugs: PlugChances, prior: float, rho: float, failure: float, of: NDArray[np.intp] | None = None
) -> Array:
    """Chance that each of the plugs is dead (n) [1], all their looks together.

    The zone's dead share is Beta about the prior with correlation rho, so plugs speak for one another; with
    chance `failure` nothing in the batch could green up and the looks of all say nothing.

    Args:
        plugs: log chances of the looks. prior [1]: chance of dead. rho [1]. failure [1].
        of: numbers of the plugs wanted; all when left out.
    """
    scale = np.maximum(plugs.log_alive, plugs.log_dead)
    alive, dead = np.exp(plugs.log_alive - scale), np.exp(plugs.log_dead - scale)
    n = len(scale)
    weight = _dead_set_chances(n, prior, rho)
    failed = failure * float(np.prod(dead))
    total = (1.0 - failure) * float(_by_dead(alive, dead) @ weight) + failed
    alike: dict[tuple[float, float], float] = {}
    chances = []
    for i in range(n) if of is None else of:
        looks = (float(alive[i]), float(dead[i]))
        if looks not in alike:
            rest = _by_dead(np.delete(alive, i), np.delete(dead, i))
            alike[looks] = ((1.0 - failure) * float(dead[i] * rest @ weight[1:]) + failed * prior) / total
        chances.append(alike[looks])
    return np.asarray(np.clip(chances, 0.0, 1.0))


def brown_share_when_dead(
    staying: StayingBrown, prior: float, rho: float, failure: float, confidence: float
) -> float | None:
    """Share of live plugs still brown [1] when a plug that stays brown may be called dead; None: never."""
    first = np.flatnonzero(staying.brown)[:1]

    def sure(still_brown: float) -> bool:
        return bool(dead_chances(staying.when(still_brown), prior, rho, failure, first)[0] >= confidence)

    if not sure(0.0):
        return None
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if sure(middle) else (low, middle)
    return low
