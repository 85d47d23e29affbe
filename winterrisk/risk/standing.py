"""Where a zone stands among zones of the same expectation: its rank, as far as its own plugs tell it.

The real dead share of a zone is Beta(p phi, (1-p) phi) about the expectation p of a possible winter and thresholds.
Its rank u, with the share Q(u; p), belongs to the zone and stays while p grows over the winter [judged]. Plugs are cut
from the real share of their day: each tells of the rank in every possible winter, by Bayes' rule on a grid of ranks.
Of the likeness of plugs about p, rho, the scatter of zones takes 1 / (1 + phi); what is left is patchiness within one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv, expit

from winterrisk.plugs.zone_evidence import Evidence
from winterrisk.risk.spread import share_grid

Array = NDArray[np.float64]
Told = Sequence[tuple[Array, Evidence]]
"""Expected dead share (...) [1] when the plugs were cut, and what their looks say."""

CELLS: Final = 80
"""Cells of rank, ever narrower towards 0 and 1: even in the log odds of the rank, the outermost open."""
FARTHEST: Final = 12.0
"""Log odds of the limit of the outermost cells."""
NODES: Final = 129
"""Expected dead shares at which quantiles are worked, denser towards 0 and 1."""


@lru_cache(maxsize=1)
def rank_edges() -> Array:
    """Limits of the cells of rank (CELLS + 1) [1]."""
    inner = expit(np.linspace(-FARTHEST, FARTHEST, CELLS - 1))
    return np.asarray(np.concatenate(([0.0], inner, [1.0])))


def rank_cell(rank: Array) -> tuple[NDArray[np.intp], Array]:
    """Cell of each rank, and how far into it the rank lies [1]."""
    edges = rank_edges()
    cell = np.clip(np.searchsorted(edges, rank, side="right") - 1, 0, CELLS - 1)
    return cell, (rank - edges[cell]) / (edges[cell + 1] - edges[cell])


@lru_cache(maxsize=64)
def quantile_table(precision: float) -> Array:
    """Dead share in the middle of each cell of rank (NODES, CELLS) [1], by expected dead share; precision [1]: phi."""
    p = np.clip(0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, NODES))), 1e-6, 1.0 - 1e-6)[:, None]
    middle = 0.5 * (rank_edges()[1:] + rank_edges()[:-1])
    return np.asarray(betaincinv(p * precision, (1.0 - p) * precision, middle))


def shares_by_rank(p: Array, precision: float) -> Array:
    """Dead share (..., CELLS) [1] of each rank for expected dead shares p (...) [1]."""
    return _at(quantile_table(precision), p)


def _at(table: Array, p: Array) -> Array:
    """Rows of a table over expected dead shares (NODES, CELLS), between its nodes (..., CELLS)."""
    place = np.arccos(1.0 - 2.0 * np.clip(p, 0.0, 1.0)) / np.pi * (NODES - 1)
    low = np.minimum(place.astype(np.intp), NODES - 2)
    nodes = 0.5 * (1.0 - np.cos(np.pi * np.arange(NODES) / (NODES - 1)))
    part = ((p - nodes[low]) / (nodes[low + 1] - nodes[low]))[..., None]
    return np.asarray((1.0 - part) * table[low] + part * table[low + 1])


def within_zone(correlation: float, precision: float) -> float:
    """Likeness of plugs of one zone about its real share [1], from that about its expectation [1]; 0 or more."""
    between = 1.0 / (1.0 + precision)
    return max((correlation - between) / (1.0 - between), 0.0)


@dataclass(frozen=True)
class Standing:
    """Chance of each cell of rank of one zone in every possible winter and thresholds (member, draw, CELLS) [1]; plugs:
    how many that share nothing would tell as much."""

    mass: Array
    precision: float
    plugs: float = 0.0

    @property
    def closeness(self) -> float:
        """How closely the dead share follows its expectation after the plugs [1]: phi and the plugs that each tell as
        much as one alone (exact for plugs read without error: the conjugate case)."""
        return self.precision + self.plugs

    def chances(self, chance: Array) -> Array:
        """Chances that more than some limit is dead (..., member, draw) [1], from those of a zone of unknown rank."""
        below = np.concatenate([np.zeros((*self.mass.shape[:-1], 1)), np.cumsum(self.mass, axis=-1)], axis=-1)
        cell, part = rank_cell(1.0 - np.clip(chance, 0.0, 1.0))
        flat = below.reshape(-1, CELLS + 1)
        pair = np.arange(len(flat)).reshape(self.mass.shape[:-1])
        low, high = flat[pair, cell], flat[pair, cell + 1]
        return np.asarray(1.0 - (low + part * (high - low)))

    def means(self, p: Array) -> Array:
        """Expected dead share (member, draw) [1], from that of a zone of unknown rank."""
        return np.asarray((self.mass * shares_by_rank(p, self.precision)).sum(axis=-1))

    def quantiles(self, p: Array, weight: Array, at: Sequence[float]) -> Array:
        """Quantiles [1] of the dead share over all pairs (pair, ...) with their weights; see `spread`."""
        grid = share_grid()
        share = shares_by_rank(p, self.precision).ravel()
        weights = (weight[..., None] * self.mass).ravel()
        place = np.searchsorted(grid, share, side="left")
        cumulative = np.cumsum(np.bincount(place, weights, len(grid)))
        return np.interp(at, cumulative / cumulative[-1], grid)

    def of(self, chosen: NDArray[np.bool_]) -> "Standing":
        """The same for some of the members (member)."""
        return Standing(self.mass[chosen], self.precision, self.plugs)


def standing(told: Told, precision: float, correlation: float) -> Standing:
    """The standing of a zone after its own plugs.

    Args:
        told: at least one; expected dead shares are (member, draw).
        precision, correlation [1]: phi, and likeness of plugs about the expectation.
    """
    grid, likeness = share_grid(), within_zone(correlation, precision)
    inside = np.clip(grid, 1e-9, 1.0 - 1e-9)
    log = np.zeros((*told[0][0].shape, CELLS))
    for p, evidence in told:
        by_share = evidence.log_likelihood(inside, likeness)
        log += _at(np.interp(quantile_table(precision), grid, by_share), p)
    log -= log.max(axis=-1, keepdims=True)
    mass = np.diff(rank_edges()) * np.exp(log)
    alone = sum(len(e.plugs) / (1.0 + (len(e.plugs) - 1) * likeness) for _, e in told)
    return Standing(mass / mass.sum(axis=-1, keepdims=True), precision, alone)
