"""The chance that a brown plug is dead: the mixture of live plugs that are late and plugs that are dead.

q: prior chance of dead. still_brown: chance S that a live plug is still brown by now. false_green: chance
that a dead plug is called green; missed_green: that a live, greened plug is not called green.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, betaln, xlogy

from winterrisk.plugs.green_up import Family, age_when_brown

Array = NDArray[np.float64]


def dead_chance(
    q: ArrayLike, still_brown: ArrayLike, false_green: float = 0.0, missed_green: float = 0.0
) -> Array:
    """P(dead | not called green) [1] = q (1-fp) / [q (1-fp) + (1-q) (S + (1-S) fn)].

    Mixture-cure model with the dead as the "cured"; no other plugs, no controls.
    """
    prior, s = np.asarray(q, dtype=np.float64), np.asarray(still_brown, dtype=np.float64)
    dead = prior * (1.0 - false_green)
    return np.asarray(dead / (dead + (1.0 - prior) * (s + (1.0 - s) * missed_green)))


def dead_chance_limit(q: ArrayLike, false_green: float, missed_green: float) -> Array:
    """The most waiting can show, P(dead | never called green) [1]: a low prior never reaches a verdict."""
    return dead_chance(q, 0.0, false_green, missed_green)


def dead_chance_shared_fate(q: float, still_brown: float, n: int) -> float:
    """P(dead | none of n plugs green) [1] where all n live or die together: S^n in place of S."""
    return float(dead_chance(q, still_brown**n))


def dead_chance_in_batch(
    q: float, still_brown: float, batch_failure: float, controls_green: int = 0, controls_brown: int = 0
) -> float:
    """P(dead | brown, and what the batch's live controls did) [1], where nothing greens in a failed batch.

    Args:
        batch_failure [1]: prior chance c of a failed batch; a green control rules it out.
        controls_green, controls_brown: controls, known to be alive, that are green or still brown.
    """
    if controls_green:
        return float(dead_chance(q, still_brown))
    s, c = still_brown, batch_failure
    controls = c + (1.0 - c) * s**controls_brown
    plug_too = c + (1.0 - c) * s ** (controls_brown + 1)
    return float(q * controls / (q * controls + (1.0 - q) * plug_too))


def brown_share_for_verdict(
    q: ArrayLike, confidence: float, false_green: float = 0.0, missed_green: float = 0.0
) -> Array:
    """Share S of live plugs still brown at which a brown plug may be called dead [1]; below 0: never."""
    prior = np.asarray(q, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        late = prior * (1.0 - false_green) * (1.0 - confidence) / (confidence * (1.0 - prior))
    return np.asarray((late - missed_green) / (1.0 - missed_green))


def verdict_age(
    q: float,
    confidence: float,
    median: float,
    shape: float,
    family: Family = "lognormal",
    false_green: float = 0.0,
    missed_green: float = 0.0,
) -> float:
    """Age at which a brown plug is dead with the given confidence, in the unit of the median; inf: never."""
    s = float(brown_share_for_verdict(q, confidence, false_green, missed_green))
    if s <= 0:
        return float("inf")
    return 0.0 if s >= 1 else float(age_when_brown(s, median, shape, family))


def verdict_day(
    q: float,
    confidence: float,
    temperature: float,
    median: float,
    shape: float,
    family: Family = "lognormal",
    base: float = 5.0,
    light: float = 1.0,
) -> float:
    """Day in the warm on which a brown plug may be called dead [d], at a steady room temperature [degC].

    median [degC d]; base [degC]; light [1]: light factor, 1 at the reference light.
    """
    pace = max(0.0, temperature - base) * light
    return verdict_age(q, confidence, median, shape, family) / pace if pace > 0 else float("inf")


class AliveShare(NamedTuple):
    """The live share of one spot after its plugs: mean, and chance that it is below a limit."""

    mean: float
    below: float


def alive_share(
    a: float, b: float, n: int, green: int, turned_green: float, limit: float = 0.5
) -> AliveShare:
    """Live share of a spot, Beta(a, b) before, after `green` of n plugs greened where F of the live would.

    Posterior ~ p^(a-1) (1-p)^(b-1) p^green (1 - p F)^(n - green): the sum over how many of the brown ones
    are only late is a mixture of betas.

    Args:
        turned_green [1]: F, chance that a live plug is green by now. limit [1].
    """
    brown = n - green
    late = np.arange(brown + 1)
    log_choose = -betaln(late + 1, brown - late + 1) - np.log(brown + 1)
    brown_alive = xlogy(late, 1.0 - turned_green)
    x, y = a + green + late, b + brown - late
    log_weight = log_choose + brown_alive + betaln(x, y)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    return AliveShare(float(weight @ (x / (x + y))), float(weight @ betainc(x, y, limit)))
