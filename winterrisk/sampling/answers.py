"""What plugs of one zone may answer, and how likely it is harmed after each answer: worked on every possible winter.

A plug fails to green up with about the chance that the turf it is cut from is dead, misreads and late plugs counted.
The real dead share of the day of the cut scatters about its expectation, and the zone keeps its rank: so the plugs tell
of harm by the end as well (`risk.standing`). What an answer says of the winter, of the thresholds and of harm still to
come lies in the pairs of winter and thresholds: those that made it likely weigh more, as they will on the night after.
Reference: Raiffa and Schlaifer (1961), preposterior analysis, by plain enumeration.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.plugs.beta_binomial import log_chance_of_dead_set
from winterrisk.risk.standing import CELLS, rank_cell, rank_edges, shares_by_rank, within_zone
from winterrisk.sampling.question import chance_of_harm
from winterrisk.sampling.value import NOT_GREEN_DAMAGED, NOT_GREEN_SOUND, ways_of
from winterrisk.thresholds import TABLE

Array = NDArray[np.float64]
SHARES: Final = 65
"""Expected dead shares from 0 to 1 at which the chances of answers are worked."""
DAMAGED_SHARE: Final = 0.5
"""Dead share [1] at which a plug fails to green up with the chance of a damaged zone (statistics notes)."""


@dataclass(frozen=True)
class Possible:
    """One zone in every possible winter.

    dead (day, pair) [1]: expected dead share on the days on which one may cut; harmed (pair) [1]: chance of harm in
    the end; weight (pair). likeness [1]: of plugs about the real dead share; precision [1]: how closely that share
    follows its expectation, inf where it is the same.
    """

    dead: Array
    harmed: Array
    weight: Array
    likeness: float
    precision: float

    @property
    def chance(self) -> float:
        """Chance of harm in the end [1]."""
        return float((self.harmed * self.weight).sum() / self.weight.sum())

    def where(self, chosen: NDArray[np.bool_]) -> "Possible":
        """The same, with no weight but that of the chosen pairs (pair)."""
        return Possible(self.dead, self.harmed, self.weight * chosen, self.likeness, self.precision)

    def pairs_of(self, day: int) -> Array:
        """Weight by expected dead share on a day and rank from which a zone is harmed (SHARES, CELLS + 1), adding
        to 1."""
        place = np.clip(self.dead[day], 0.0, 1.0) * (SHARES - 1)
        row = np.minimum(place.astype(np.intp), SHARES - 2)
        row_part = place - row
        column, column_part = rank_cell(1.0 - np.clip(self.harmed, 0.0, 1.0))
        mass = np.zeros(SHARES * (CELLS + 1))
        for i, by_row in ((0, 1.0 - row_part), (1, row_part)):
            for j, by_column in ((0, 1.0 - column_part), (1, column_part)):
                at = (row + i) * (CELLS + 1) + column + j
                mass += np.bincount(at, self.weight * by_row * by_column, len(mass))
        return mass.reshape(SHARES, CELLS + 1) / self.weight.sum()


def possible(outlook: xr.Dataset, zone: str, days: Sequence[np.datetime64]) -> Possible:
    """What an outlook holds of one zone on some of its days; harm counts on the last of them."""
    every = outlook["day"].to_numpy().astype("datetime64[D]")
    places = [int(np.flatnonzero(every == np.datetime64(day, "D"))[0]) for day in days]
    dead = outlook["expected"].sel(zone=zone).to_numpy()[places].astype(np.float64)
    weight = outlook["weight"].sel(zone=zone).to_numpy()
    likeness = outlook.attrs.get("plug_correlation", TABLE["plug_correlation"].value)
    precision = float(outlook.attrs["survey_precision"])
    return Possible(
        dead.reshape(len(dead), -1), chance_of_harm(outlook, zone)[places[-1]].ravel(), weight.ravel(),
        within_zone(float(likeness), precision),
        float(np.round(outlook["closeness"].sel(zone=zone))) if "closeness" in outlook else precision,
    )  # fmt: skip


def not_green(share: Array) -> Array:
    """Chance that a plug does not green up in time [1], by the dead share of what it is cut from [1]."""
    return np.asarray(NOT_GREEN_SOUND + share * (NOT_GREEN_DAMAGED - NOT_GREEN_SOUND) / DAMAGED_SHARE)


@lru_cache(maxsize=256)
def answer_table(number: int, likeness: float, precision: float) -> Array:
    """Chance of 0, 1, ..., `number` plugs that do not green up and of a rank above each limit of rank, by expected
    dead share (SHARES, CELLS + 1, number + 1) [1]; at rank 0, of the answer whatever the rank."""
    expected = np.linspace(0.0, 1.0, SHARES)
    alike = np.repeat(expected[:, None], CELLS, axis=1)
    q = not_green(alike if np.isinf(precision) else shares_by_rank(expected, precision))
    each = [np.exp(log_chance_of_dead_set(k, number, q, likeness)) for k in range(number + 1)]
    here = np.stack(each, axis=-1) * ways_of(number) * np.diff(rank_edges())[None, :, None]
    above = np.zeros((SHARES, CELLS + 1, number + 1))
    above[:, :-1] = np.cumsum(here[:, ::-1], axis=1)[:, ::-1]
    return above


def answers(pairs: Array, zone: Possible, number: int) -> tuple[Array, Array]:
    """Chance of each answer (number + 1) [1], and of that answer and harm in the end together (number + 1) [1].

    Args:
        pairs (SHARES, CELLS + 1): of `zone.pairs_of`, for the day of the cut.
        number: plugs; answer k is that k of them do not green up.
    """
    table = answer_table(number, zone.likeness, zone.precision)
    chance = pairs.sum(axis=1) @ table[:, 0]
    harmed = np.tensordot(pairs, table, axes=2)
    return np.asarray(chance), np.asarray(harmed)
