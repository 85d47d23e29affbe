"""Scores of chances against what happened: Brier and its parts, skill, discrimination, warnings, worth."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

BAR: Final = (0.05, 0.95)
"""Ends of the consistency bar (Broecker and Smith 2007, from memory)."""


@dataclass(frozen=True)
class BrierParts:
    """Brier score [1] = reliability - resolution + uncertainty, exact for distinct issued chances."""

    reliability: float
    resolution: float
    uncertainty: float

    @property
    def score(self) -> float:
        """The Brier score."""
        return self.reliability - self.resolution + self.uncertainty


def brier_score(chance: ArrayLike, happened: ArrayLike) -> float:
    """Mean squared difference of chance and outcome [1]; 0 is perfect.

    Args:
        chance (case) [1]: issued. happened (case): 0 or 1.
    """
    p, o = _pairs(chance, happened)
    return float(np.mean((p - o) ** 2))


def brier_parts(chance: ArrayLike, happened: ArrayLike) -> BrierParts:
    """Reliability, resolution and uncertainty by distinct issued chance.

    Reference: Murphy (1973), J. Appl. Meteorol. 12, 595-600 (from memory).
    """
    p, o = _pairs(chance, happened)
    base = o.mean()
    issued, place, count = np.unique(p, return_inverse=True, return_counts=True)
    seen = np.bincount(place, weights=o) / count
    share = count / len(p)
    return BrierParts(
        reliability=float(share @ (issued - seen) ** 2),
        resolution=float(share @ (seen - base) ** 2),
        uncertainty=float(base * (1 - base)),
    )


@dataclass(frozen=True)
class IsotonicParts:
    """Brier score [1] = miscalibration - discrimination + uncertainty, against the best rising reading of it."""

    miscalibration: float
    discrimination: float
    uncertainty: float

    @property
    def score(self) -> float:
        """The Brier score."""
        return self.miscalibration - self.discrimination + self.uncertainty


def isotonic_parts(chance: ArrayLike, happened: ArrayLike) -> IsotonicParts:
    """Parts of the Brier score without bins: against the outcomes' shares made to rise with the chance.

    Reference: Dimitriadis, Gneiting and Jordan (2021), PNAS 118, e2016191118 (from memory).
    """
    from scipy.optimize import isotonic_regression  # slow to load; nights do without

    p, o = _pairs(chance, happened)
    _, place, count = np.unique(p, return_inverse=True, return_counts=True)
    seen = np.bincount(place, weights=o) / count
    read = np.asarray(isotonic_regression(seen, weights=count).x)[place]
    base, best, whole = o.mean(), np.mean((read - o) ** 2), np.mean((p - o) ** 2)
    return IsotonicParts(float(whole - best), float(base * (1 - base) - best), float(base * (1 - base)))


def brier_skill(chance: ArrayLike, happened: ArrayLike, reference: ArrayLike) -> float:
    """1 - Brier score over that of the reference [1]; above 0 better than it, NaN where the reference is perfect.

    Args:
        reference (case) or scalar [1]: a chance fixed before the cases; the cases' own base rate flatters nobody.
    """
    against = brier_score(np.broadcast_to(np.asarray(reference, float), np.shape(chance)), happened)
    return 1.0 - brier_score(chance, happened) / against if against > 0 else float("nan")


def discrimination(chance: ArrayLike, happened: ArrayLike) -> float:
    """Area under the curve of hits against false alarms [1]: a case that happened had the higher chance.

    Ties count a half. Blind to calibration, so never the only score; NaN where all or none happened.
    Reference: Mann and Whitney's statistic.
    """
    p, o = _pairs(chance, happened)
    yes, no = p[o == 1], p[o == 0]
    if not len(yes) or not len(no):
        return float("nan")
    apart = np.sign(yes[:, None] - no[None, :])
    return float(np.mean(0.5 * (apart + 1.0)))


@dataclass(frozen=True)
class Warnings:
    """Counts of warnings by outcome: hits, false alarms, misses, correct negatives."""

    hits: int
    false_alarms: int
    misses: int
    correct_negatives: int

    @property
    def detected(self) -> float:
        """Share of what happened that was warned of [1]."""
        return _share(self.hits, self.hits + self.misses)

    @property
    def false_share(self) -> float:
        """Share of warnings that came to nothing [1]."""
        return _share(self.false_alarms, self.hits + self.false_alarms)

    @property
    def false_rate(self) -> float:
        """Share of what did not happen that was warned of [1]."""
        return _share(self.false_alarms, self.false_alarms + self.correct_negatives)

    @property
    def critical_success(self) -> float:
        """Hits over all that was warned of or happened [1]."""
        return _share(self.hits, self.hits + self.false_alarms + self.misses)

    @property
    def extremal_dependence(self) -> float:
        """Symmetric extremal dependence index [1], that does not fade with rarity; NaN with a rate of 0 or 1.

        Reference: Ferro and Stephenson (2011), Weather and Forecasting 26, 699-713 (from memory).
        """
        h, f = self.detected, self.false_rate
        if not (0.0 < h < 1.0 and 0.0 < f < 1.0):
            return float("nan")
        terms = np.log([f, h, 1.0 - f, 1.0 - h])
        return float((terms @ [1, -1, -1, 1]) / terms.sum())


def warnings(chance: ArrayLike, happened: ArrayLike, threshold: float) -> Warnings:
    """Counts where a chance of `threshold` or more is a warning."""
    p, o = _pairs(chance, happened)
    warned = p >= threshold
    yes = o == 1
    counts = (warned & yes, warned & ~yes, ~warned & yes, ~warned & ~yes)
    return Warnings(*(int(np.sum(c)) for c in counts))


def economic_value(chance: ArrayLike, happened: ArrayLike, cost_over_loss: float) -> float:
    """Worth of acting on the chances [1]: 1 as good as knowing, 0 no better than always or never acting.

    One acts where the chance reaches cost over loss. NaN where nothing can be gained.
    Reference: Richardson (2000), Q. J. R. Meteorol. Soc. 126, 649-667 (from memory).
    """
    p, o = _pairs(chance, happened)
    acts = p >= cost_over_loss
    base = o.mean()
    spent = np.mean(np.where(acts, cost_over_loss, o))
    unaided, perfect = min(base, cost_over_loss), base * cost_over_loss
    return float((unaided - spent) / (unaided - perfect)) if unaided > perfect else float("nan")


def consistency_bar(chance: float, cases: int) -> tuple[float, float]:
    """Share of cases that may happen by luck where the chance is right [1]: 5 and 95 %."""
    from scipy.stats import binom

    low, high = binom.ppf(BAR, cases, chance) / cases
    return float(low), float(high)


def _share(part: int, whole: int) -> float:
    return part / whole if whole else float("nan")


def _pairs(chance: ArrayLike, happened: ArrayLike) -> tuple[Array, Array]:
    p, o = np.asarray(chance, dtype=np.float64), np.asarray(happened, dtype=np.float64)
    if p.shape != o.shape or not len(p):
        raise ValueError(f"{p.size} chances and {o.size} outcomes: expected as many, and at least one")
    if np.any((p < 0) | (p > 1)) or not np.isin(o, (0.0, 1.0)).all():
        raise ValueError("chances lie between 0 and 1, outcomes are 0 or 1")
    return p, o
