"""How many plugs it takes to see a dead one, and how easily n plugs miss the damage."""

import math

import numpy as np
from scipy.special import betaln, gammaln

MOST_PLUGS = 100_000


def miss_chance(share: float, n: float, rho: float = 0.0, sensitivity: float = 1.0) -> float:
    """Chance that none of n plugs is found dead though a share of the zone is [1].

    (1 - a)^n; with correlation rho between plugs the beta-binomial B(al, be + n) / B(al, be), al =
    a (1-rho)/rho, be = (1-a)(1-rho)/rho. An imperfect plug sees a x sensitivity. For independent random
    spots the size of the patches does not matter.

    Args:
        share [1]: dead share a of the zone. n: plugs, one a spot. rho [1]. sensitivity [1].
    Reference: Hughes & Madden (1993), Phytopathology 83:759.
    """
    seen = share * sensitivity
    if rho <= 0:
        return float((1.0 - seen) ** n)
    if seen <= 0 or seen >= 1:
        return 1.0 if seen <= 0 or n == 0 else 0.0
    alpha, beta = seen * (1.0 - rho) / rho, (1.0 - seen) * (1.0 - rho) / rho
    return float(np.exp(betaln(alpha, beta + n) - betaln(alpha, beta)))


def plugs_to_see_dead(
    share: float, confidence: float = 0.95, rho: float = 0.0, sensitivity: float = 1.0
) -> int:
    """Plugs needed to find at least one dead with the given confidence, where a share of the zone is dead.

    Reference: McSorley & Littell (1993) for independent plugs.
    """
    missed, seen = 1.0 - confidence, share * sensitivity
    if rho <= 0:
        return 1 if seen >= 1 else max(1, math.ceil(math.log(missed) / math.log1p(-seen) - 1e-9))
    low, high = 0, 1
    while miss_chance(share, high, rho, sensitivity) > missed:
        low, high = high, high * 2
        if high > MOST_PLUGS:
            raise ValueError(f"more than {MOST_PLUGS} plugs: no number of correlated plugs shows it")
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if miss_chance(share, middle, rho, sensitivity) > missed else (low, middle)
    return high


def plugs_from_lot(lot: float, share: float, confidence: float = 0.95, sensitivity: float = 1.0) -> int:
    """Units to draw from a lot N to show freedom from a share [1]: ceil(N/Se (1 - (1-conf)^(1/(N share)))).

    An approximation to the hypergeometric; an infinite lot gives the binomial number.

    Reference: published outputs of the RSurveillance manual reproduce it.
    """
    if math.isinf(lot):
        return plugs_to_see_dead(share, confidence, sensitivity=sensitivity)
    dead = lot * share
    found: float = 1.0 - (1.0 - confidence) ** (1.0 / dead)
    return math.ceil(lot / sensitivity * found - 1e-9)


def miss_chance_of_lot(lot: int, dead: int, n: int) -> float:
    """Chance that none of n units drawn from a lot is among its dead ones [1]: hypergeometric."""
    if n > lot - dead:
        return 0.0
    log = gammaln(lot - dead + 1) - gammaln(lot - dead - n + 1) - gammaln(lot + 1) + gammaln(lot - n + 1)
    return float(np.exp(log))


def plugs_from_lot_exact(lot: int, dead: int, confidence: float = 0.95) -> int:
    """Units to draw from a lot to find one of its dead ones with the given confidence; hypergeometric."""
    low, high = 0, lot - dead + 1
    while high - low > 1:
        middle = (low + high) // 2
        missed = miss_chance_of_lot(lot, dead, middle) > 1.0 - confidence + 1e-12
        low, high = (middle, high) if missed else (low, middle)
    return high


def effective_plugs(n: int, per_spot: float, rho: float) -> float:
    """How many independent plugs n plugs are worth, `per_spot` at a spot: n / (1 + (m-1) rho).

    rho [1]: correlation of plugs of one spot.
    """
    return n / (1.0 + (per_spot - 1.0) * rho)
