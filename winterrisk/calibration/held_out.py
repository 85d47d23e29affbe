"""Leave one winter out: do the other winters foretell it better than the default does?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from winterrisk.calibration.model import CourseModel
from winterrisk.calibration.smc import sequential_monte_carlo
from winterrisk.science.keyed import KeyPart, generator

Array = NDArray[np.float64]

PARTICLES, MOVES = 300, 4
"""Enough to compare; a stored fit takes more (judged)."""


@dataclass(frozen=True)
class HeldOut:
    """Log chance of one winter's plugs and surveys from the other winters' fit, and from the prior."""

    winter: str
    fitted: float
    prior: float


def _log_score(model: CourseModel, z: Array) -> float:
    return float(logsumexp(model.log_likelihood(z)) - np.log(len(z)))


def held_out(model: CourseModel, adopted: int, key: tuple[KeyPart, ...]) -> tuple[HeldOut, ...]:
    """Each winter with evidence held out in turn; empty where there are fewer than two.

    As at night after an adoption, rows that are only sampled beside go by their prior on both sides.

    Args:
        adopted: how many of the model's rows, the first ones, would be adopted.
    """
    winters = tuple(dict.fromkeys(place.winter for place in model.places))
    if len(winters) < 2:
        return ()
    unknowns = len(model.rows)
    prior = generator(*key, "prior").standard_normal((PARTICLES, unknowns))
    results = []
    for winter in winters:
        others = model.without(winter)
        found = sequential_monte_carlo(
            others.log_likelihood, unknowns, (*key, "without", winter), particles=PARTICLES, moves=MOVES
        )
        fitted = np.concatenate([found.z[:, :adopted], prior[:, adopted:]], axis=1)
        alone = model.only(winter)
        results.append(HeldOut(winter, _log_score(alone, fitted), _log_score(alone, prior)))
    return tuple(results)
