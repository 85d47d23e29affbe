"""Plugs of one zone share their fate in part: the beta-binomial, for plugs known only by chance.

The zone's dead share a is Beta(p (1-rho)/rho, (1-p) (1-rho)/rho) about its expectation p; each plug is dead
with chance a. With the chance of each plug's looks if dead and if alive, the product over plugs is a
polynomial in a, and its expectation is exact.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import logsumexp

Array = NDArray[np.float64]
NEVER = -np.inf


def log_chance_by_dead(log_alive: ArrayLike, log_dead: ArrayLike) -> Array:
    """Log of the summed chance of all plugs' looks with k of the n plugs dead (k = 0..n) (n + 1).

    Entry k adds up every choice of the k dead ones: the coefficients of prod (alive + dead x).
    """
    alive, dead = np.atleast_1d(log_alive).astype(float), np.atleast_1d(log_dead).astype(float)
    coefficients = np.zeros(1)
    for a, d in zip(alive, dead, strict=True):
        coefficients = np.logaddexp(np.append(coefficients + a, NEVER), np.insert(coefficients + d, 0, NEVER))
    return np.asarray(coefficients)


def log_chance_of_dead_set(k: int, n: int, p: ArrayLike, rho: ArrayLike) -> Array:
    """Log chance that k given plugs of n are dead and the others alive [1], for expected dead shares p.

    Rising products: prod_(i<k) (p(1-rho) + i rho) prod_(j<n-k) ((1-p)(1-rho) + j rho) /
    prod_(l<n) ((1-rho) + l rho). Holds for rho = 0 (independent plugs) and for p = 0 or 1 as well.
    """
    share, correlation = np.broadcast_arrays(np.asarray(p, dtype=float), np.asarray(rho, dtype=float))
    total = np.zeros(share.shape)
    with np.errstate(divide="ignore"):
        for i in range(k):
            total = total + np.log(share * (1 - correlation) + i * correlation)
        for j in range(n - k):
            total = total + np.log((1 - share) * (1 - correlation) + j * correlation)
        for m in range(n):
            total = total - np.log((1 - correlation) + m * correlation)
    return np.asarray(total)


def looks_of_zone_log_likelihood(
    p: ArrayLike, log_alive: ArrayLike, log_dead: ArrayLike, rho: ArrayLike
) -> Array:
    """Log chance of all looks at the plugs of one zone and day, for each expected dead share p (...).

    Args:
        p (...) [1]: expected dead share of the zone when the plugs were cut.
        log_alive, log_dead (n): log chance of each plug's looks if it lives or is dead.
        rho [1]: correlation of plugs in a zone, broadcast against p.
    """
    by_dead = log_chance_by_dead(log_alive, log_dead)
    n = len(by_dead) - 1
    parts = [by_dead[k] + log_chance_of_dead_set(k, n, p, rho) for k in range(n + 1) if by_dead[k] > NEVER]
    return np.asarray(logsumexp(np.stack(np.broadcast_arrays(*parts)), axis=0))
