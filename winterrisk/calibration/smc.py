"""Tempered sequential Monte Carlo: particles carried from the prior to the posterior in small steps.

Every unknown is whitened: a standard normal number that a row's quantile turns into its value, so that
cut and one-sided priors need no special case.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from winterrisk.science.keyed import KeyPart, generator

Array = NDArray[np.float64]
LogLikelihood = Callable[[Array], Array]
"""Whitened unknowns (particle, unknown) -> log likelihood (particle)."""

KEPT_EFFECTIVE = 0.5
"""Share of the particles that must stay effective in one step of temperature (common practice, no source)."""
AIMED_ACCEPTANCE = 0.30
"""Share of moves to be accepted, by which their size is steered (common practice, no source)."""
FULL_SCALE = 2.38
"""Best size of a random-walk move, times the root of the unknowns (Gelman et al. 1996, from memory)."""
RIDGE = 1e-9
"""Added to the particles' variances, so that one that has shrunk to nothing can still move."""


@dataclass(frozen=True)
class Particles:
    """Equally weighted draws of the posterior and how they were come by.

    z (particle, unknown): whitened. log_evidence: log chance of the data under the prior.
    smallest_effective: least effective number of particles in any step. acceptance: share of moves taken.
    """

    z: Array
    log_evidence: float
    smallest_effective: float
    acceptance: float
    temperatures: tuple[float, ...]


def effective_number(log_weight: Array) -> float:
    """Effective number of weighted particles: (sum w)^2 / sum w^2."""
    return float(np.exp(2.0 * logsumexp(log_weight) - logsumexp(2.0 * log_weight)))


def next_temperature(log_likelihood: Array, now: float) -> float:
    """The furthest temperature (0-1) to which the particles can go at once and stay effective."""
    wanted = KEPT_EFFECTIVE * len(log_likelihood)
    if effective_number((1.0 - now) * log_likelihood) >= wanted:
        return 1.0
    low, high = now, 1.0
    for _ in range(50):
        middle = 0.5 * (low + high)
        if effective_number((middle - now) * log_likelihood) >= wanted:
            low = middle
        else:
            high = middle
    return high


def systematic_picks(log_weight: Array, start: float) -> NDArray[np.intp]:
    """Indices of the particles that stand after resampling with one common random start (0-1)."""
    n = len(log_weight)
    share = np.cumsum(np.exp(log_weight - logsumexp(log_weight)))
    return np.minimum(np.searchsorted(share / share[-1], (start + np.arange(n)) / n), n - 1)


def sequential_monte_carlo(
    log_likelihood: LogLikelihood,
    unknowns: int,
    key: tuple[KeyPart, ...],
    *,
    particles: int = 1000,
    moves: int = 12,
) -> Particles:
    """Posterior draws of whitened unknowns with standard normal priors.

    Temperatures rise from 0 (prior) to 1 (posterior); after each rise the particles are resampled and each
    makes `moves` random-walk Metropolis moves scaled by their covariance.

    Args:
        log_likelihood: (particle, unknown) -> (particle).
        key: what the draws are for; the same key gives the same draws.
        particles, moves: 1000 x 12 for a stored fit, 500 x 6 for a glance (their simulation-based check).
    Raises:
        ValueError: no particle of the prior has a likelihood.
    Reference: Del Moral, Doucet and Jasra (2006), Sequential Monte Carlo samplers.
    """
    rng = generator(*key, "particles")
    z = rng.standard_normal((particles, unknowns))
    fit = log_likelihood(z)
    if not np.isfinite(fit).any():
        raise ValueError("no particle of the prior has a likelihood")
    temperature, log_evidence, least, scale = 0.0, 0.0, float(particles), FULL_SCALE / np.sqrt(unknowns)
    temperatures, taken = [0.0], []
    while temperature < 1.0:
        rise = next_temperature(fit, temperature) - temperature
        log_weight = rise * fit
        log_evidence += float(logsumexp(log_weight)) - np.log(particles)
        least = min(least, effective_number(log_weight))
        temperature += rise
        temperatures.append(temperature)
        picks = systematic_picks(log_weight, rng.random())
        z, fit = z[picks], fit[picks]
        root = np.linalg.cholesky(np.atleast_2d(np.cov(z, rowvar=False)) + RIDGE * np.eye(unknowns))
        for _ in range(moves):
            tried = z + scale * rng.standard_normal(z.shape) @ root.T
            tried_fit = log_likelihood(tried)
            gain = temperature * (tried_fit - fit) - 0.5 * np.sum(tried**2 - z**2, axis=1)
            accepted = np.log(rng.random(particles)) < gain
            z = np.where(accepted[:, None], tried, z)
            fit = np.where(accepted, tried_fit, fit)
            taken.append(float(accepted.mean()))
            scale *= float(np.exp(taken[-1] - AIMED_ACCEPTANCE))
    return Particles(z, log_evidence, least, float(np.mean(taken)), tuple(temperatures))
