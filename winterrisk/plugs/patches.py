"""Damage in round patches on a round green: how often plugs miss it, by how the spots are chosen."""

from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.keyed import generator

Design = Literal["random", "stratified", "clustered"]
Array = NDArray[np.float64]
CLUSTER_RADIUS = 0.4
"""Distance of clustered plugs from their spot [m]."""


def _in_disc(rng: np.random.Generator, radius: float, n: int) -> Array:
    r, angle = radius * np.sqrt(rng.random(n)), 2 * np.pi * rng.random(n)
    return np.stack([r * np.cos(angle), r * np.sin(angle)], axis=1)


def _stratified(rng: np.random.Generator, radius: float, n: int) -> Array:
    """One spot in each of n cells of equal area: rings cut into sectors."""
    rings = max(1, round(np.sqrt(n / 3.0)))
    weights = np.arange(1, rings + 1) ** 2
    bounds = np.round(n * np.concatenate(([0], weights)) / weights[-1]).astype(int)
    spots = []
    for first, last in pairwise(bounds):
        cells = last - first
        r = radius * np.sqrt((first + cells * rng.random(cells)) / n)
        angle = 2 * np.pi * (np.arange(cells) + rng.random(cells)) / max(cells, 1) + 2 * np.pi * rng.random()
        spots.append(np.stack([r * np.cos(angle), r * np.sin(angle)], axis=1))
    return np.concatenate(spots)


def _clustered(rng: np.random.Generator, radius: float, n: int, per_spot: int) -> Array:
    spots = np.repeat(_in_disc(rng, radius, n // per_spot), per_spot, axis=0)
    return spots + _in_disc(rng, CLUSTER_RADIUS, len(spots))


def _patches(rng: np.random.Generator, radius: float, patch_radius: float, count: int) -> Array:
    centres: list[Array] = []
    while len(centres) < count:
        centre = _in_disc(rng, radius - patch_radius, 1)[0]
        if all(np.hypot(*(centre - other)) >= 2 * patch_radius for other in centres):
            centres.append(centre)
    return np.array(centres)


def patch_miss_chance(
    share: float,
    patches: int,
    n: int,
    design: Design = "random",
    per_spot: int = 3,
    area: float = 500.0,
    greens: int = 6000,
    seed: int = 1,
) -> float:
    """Chance that n plugs all miss the dead patches [1], simulated (standard error about 0.5/sqrt(greens)).

    Args:
        share [1]: dead share, in `patches` equal discs that do not overlap. area [m2]: of the round green.
        design: random spots; stratified, one in each of n equal cells; clustered, `per_spot` plugs at a spot.
    """
    rng = generator("patches", seed)
    radius = np.sqrt(area / np.pi)
    patch_radius = radius * np.sqrt(share / patches)
    missed = 0
    for _ in range(greens):
        centres = _patches(rng, radius, patch_radius, patches)
        if design == "random":
            spots = _in_disc(rng, radius, n)
        elif design == "stratified":
            spots = _stratified(rng, radius, n)
        else:
            spots = _clustered(rng, radius, n, per_spot)
        away = np.hypot(*(spots[:, None, :] - centres[None, :, :]).transpose(2, 0, 1))
        missed += bool((away > patch_radius).all())
    return missed / greens
