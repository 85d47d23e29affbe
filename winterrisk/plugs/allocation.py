"""Plugs spread over zones: which zone the next one goes to, and what the zones together say of the whole."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.special import betaln

Belief = Sequence[float]
"""(alpha, beta) of a Beta belief about the dead share of a zone."""


def miss_chance_by_zone(shares: Sequence[float], plugs: Sequence[int]) -> float:
    """Chance that no plug is dead [1], with `plugs` in zones of known dead shares: prod (1 - a_z)^n_z."""
    return float(np.prod((1.0 - np.asarray(shares, dtype=float)) ** np.asarray(plugs)))


def miss_chance_at_random(shares: Sequence[float], areas: Sequence[float], n: int) -> float:
    """Chance that none of n plugs at random spots of the whole green is dead [1]: (1 - sum w a)^n.

    areas [1]: the zones' shares of the green, adding to 1.
    """
    return float((1.0 - np.dot(shares, areas)) ** n)


def none_dead_chance(beliefs: Sequence[Belief], plugs: Sequence[int]) -> float:
    """Chance that no plug is dead [1] under Beta beliefs: product over zones of B(al, be + n) / B(al, be)."""
    a, b = np.asarray(beliefs, dtype=float).T
    return float(np.exp(np.sum(betaln(a, b + np.asarray(plugs)) - betaln(a, b))))


def next_zones(beliefs: Sequence[Belief], n: int) -> list[int]:
    """Zones (numbered from 1) of the next n plugs, each where a live one would be least expected.

    Greedy: the zone with the smallest (be + k)/(al + be + k) after its k plugs so far.
    """
    a, b = np.asarray(beliefs, dtype=float).T
    placed = np.zeros(len(a), dtype=int)
    order = []
    for _ in range(n):
        zone = int(np.argmin((b + placed) / (a + b + placed)))
        placed[zone] += 1
        order.append(zone + 1)
    return order


def none_dead_chances(beliefs: Sequence[Belief], n: int) -> list[float]:
    """Chance that no plug is dead after 1, 2, ... n plugs in greedy order [1]."""
    order = next_zones(beliefs, n)
    zones = range(1, len(beliefs) + 1)
    return [none_dead_chance(beliefs, [order[:k].count(z) for z in zones]) for k in range(1, n + 1)]


class GreenShare(NamedTuple):
    """Dead share of a whole green: mean and sd [1]."""

    mean: float
    sd: float


def naive_share(dead: Sequence[int], plugs: Sequence[int]) -> float:
    """Dead plugs over all plugs [1]: what aimed plugs must not be used for."""
    return float(np.sum(dead) / np.sum(plugs))


def post_stratified_share(
    beliefs: Sequence[Belief], dead: Sequence[int], plugs: Sequence[int], areas: Sequence[float]
) -> GreenShare:
    """Dead share of the green [1] from aimed plugs: each zone's Beta posterior, weighed by its area.

    Args:
        beliefs: Beta belief of each zone before the plugs. dead, plugs: in each zone. areas [1]: shares.
    """
    a, b = np.asarray(beliefs, dtype=float).T
    a, b = a + np.asarray(dead), b + np.asarray(plugs) - np.asarray(dead)
    w = np.asarray(areas, dtype=float)
    mean, variance = a / (a + b), a * b / ((a + b) ** 2 * (a + b + 1.0))
    return GreenShare(float(w @ mean), float(np.sqrt(w**2 @ variance)))
