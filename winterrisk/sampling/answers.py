"""What plugs of one zone may answer, and how likely it is harmed after each answer: worked on every possible winter.

A plug from a zone of which a share is dead fails to green up with about that chance, misreads and late plugs counted,
and plugs of one zone share their fate in part (beta-binomial). What an answer says of the winter, of the thresholds and
of harm still to come lies in the pairs of winter and thresholds: those that made it likely weigh more, as they will on
the night after it.
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
from winterrisk.risk import BANDS
from winterrisk.risk.spread import band_chance
from winterrisk.sampling.value import NOT_GREEN_DAMAGED, NOT_GREEN_SOUND, ways_of
from winterrisk.thresholds import TABLE

Array = NDArray[np.float64]
SHARES: Final = 129
"""Dead shares from 0 to 1 at which the chances of answers are worked."""
DAMAGED_SHARE: Final = 0.5
"""Dead share [1] at which a plug fails to green up with the chance of a damaged zone (statistics notes)."""


@dataclass(frozen=True)
class Possible:
    """One zone in every possible winter: expected dead share (day, pair) [1] on the days on which one may cut, chance
    of harm in the end (pair) [1], weight (pair), and likeness of its plugs [1]."""

    dead: Array
    harmed: Array
    weight: Array
    likeness: float

    @property
    def chance(self) -> float:
        """Chance of harm in the end [1]."""
        return float((self.harmed * self.weight).sum() / self.weight.sum())

    def where(self, chosen: NDArray[np.bool_]) -> "Possible":
        """The same, with no weight but that of the chosen pairs (pair)."""
        return Possible(self.dead, self.harmed, self.weight * chosen, self.likeness)

    def by_share(self, day: int) -> Array:
        """Weight, and weight of harm in the end, by the dead share on a day (2, SHARES), adding to 1 and `chance`."""
        place = np.clip(self.dead[day], 0.0, 1.0) * (SHARES - 1)
        low = np.minimum(place.astype(np.intp), SHARES - 2)
        part = place - low
        mass = np.empty((2, SHARES))
        for row, weight in enumerate((self.weight, self.weight * self.harmed)):
            mass[row] = np.bincount(low, weight * (1.0 - part), SHARES)
            mass[row] += np.bincount(low + 1, weight * part, SHARES)
        return mass / self.weight.sum()


def possible(outlook: xr.Dataset, zone: str, days: Sequence[np.datetime64]) -> Possible:
    """What an outlook holds of one zone on some of its days; harm counts on the last of them."""
    dead = outlook["expected"].sel(zone=zone, day=np.array(days, dtype="datetime64[ns]"))
    dead = dead.to_numpy().astype(np.float64)
    harmed = band_chance(dead[-1], float(outlook.attrs["survey_precision"]))[BANDS.index("parts")]
    weight = outlook["weight"].sel(zone=zone).to_numpy()
    likeness = outlook.attrs.get("plug_correlation", TABLE["plug_correlation"].value)
    return Possible(dead.reshape(len(dead), -1), harmed.ravel(), weight.ravel(), float(likeness))


def not_green(share: Array) -> Array:
    """Chance that a plug does not green up in time [1], by the dead share of what it is cut from [1]."""
    return np.asarray(NOT_GREEN_SOUND + share * (NOT_GREEN_DAMAGED - NOT_GREEN_SOUND) / DAMAGED_SHARE)


@lru_cache(maxsize=64)
def answer_table(number: int, likeness: float) -> Array:
    """Chance of 0, 1, ..., `number` plugs that do not green up, by dead share (SHARES, number + 1) [1]."""
    q = not_green(np.linspace(0.0, 1.0, SHARES))
    each = [np.exp(log_chance_of_dead_set(k, number, q, likeness)) for k in range(number + 1)]
    return np.stack(each, axis=1) * ways_of(number)


def answers(by_share: Array, number: int, likeness: float) -> tuple[Array, Array]:
    """Chance of each answer (number + 1) [1], and of that answer and harm in the end together (number + 1) [1].

    Args:
        by_share (2, SHARES): of `Possible.by_share`, for the day of the cut.
        number: plugs; answer k is that k of them do not green up. likeness [1]: correlation of plugs of one zone.
    """
    chance, harmed = by_share @ answer_table(number, likeness)
    return chance, harmed
