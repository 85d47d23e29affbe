"""An ensemble's mean and spread corrected by what its earlier forecasts turned into; off until many are kept."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]

LEAST_VARIANCE: Final = 0.3**2
"""Least constant part of the variance [K2] (judged: a fit on few cases drops it to nothing)."""
FEWEST: Final = 30
"""Cases from which a fit is trusted alone [1] (judged)."""


@dataclass(frozen=True)
class SpreadFit:
    """Normal distribution N(a + b mean, c + d variance) of what comes, and its mean score in the fit."""

    a: float = 0.0
    b: float = 1.0
    c: float = 0.0
    d: float = 1.0
    score: float = float("nan")

    def mean(self, mean: ArrayLike) -> Array:
        """Corrected mean, in the unit of the members."""
        return self.a + self.b * np.asarray(mean, dtype=np.float64)

    def variance(self, variance: ArrayLike) -> Array:
        """Corrected variance."""
        return self.c + self.d * np.asarray(variance, dtype=np.float64)


def spread_fit(
    means: ArrayLike,
    variances: ArrayLike,
    seen: ArrayLike,
    *,
    least: float = LEAST_VARIANCE,
    fewest: int = FEWEST,
) -> SpreadFit:
    """The correction of an ensemble that would have had the lowest mean continuous ranked probability score.

    Args:
        means, variances (case): of the members, at one lead time; seen (case): what came.
        least: least c; fewest: below so many cases the result is drawn towards no correction in proportion.
    Reference: Gneiting et al. (2005), Mon. Wea. Rev. 133, 1098-1118.
    """
    from scipy.optimize import minimize  # slow to load; only a course with kept forecasts needs it

    m, v, y = (np.asarray(x, dtype=np.float64) for x in (means, variances, seen))

    def fit_of(p: Array) -> SpreadFit:
        return SpreadFit(float(p[0]), float(p[1]), least + float(p[2] ** 2), float(p[3] ** 2))

    def score(p: Array) -> float:
        one = fit_of(p)
        return float(_score(one.mean(m), np.sqrt(np.maximum(one.variance(v), 1e-12)), y).mean())

    slope, level = np.polyfit(m, y, 1) if len(y) > 2 and np.ptp(m) > 0 else (1.0, 0.0)
    starts = [np.array([level, slope, 0.5, 0.8]), np.array([0.0, 1.0, 0.1, 1.0])]
    options = {"xatol": 1e-8, "fatol": 1e-12, "maxiter": 20000, "maxfev": 20000}
    best = min(
        (minimize(score, s, method="Nelder-Mead", options=options) for s in starts), key=lambda r: r.fun
    )
    found = fit_of(best.x)
    trust = min(len(y) / fewest, 1.0) if fewest else 1.0
    plain = SpreadFit(c=least)
    drawn = (trust * f + (1.0 - trust) * p for f, p in zip(_four(found), _four(plain), strict=True))
    return SpreadFit(*drawn, score=float(best.fun))


def spread_corrected(members: ArrayLike, fit: SpreadFit) -> Array:
    """Members (…, member) moved and stretched about their mean to the corrected mean and variance; their order
    and course stay."""
    x = np.asarray(members, dtype=np.float64)
    mean = x.mean(axis=-1, keepdims=True)
    variance = x.var(axis=-1, ddof=1, keepdims=True)
    stretch = np.sqrt(
        np.divide(fit.variance(variance), variance, out=np.ones_like(variance), where=variance > 0)
    )
    return fit.mean(mean) + stretch * (x - mean)


def _four(fit: SpreadFit) -> tuple[float, float, float, float]:
    return fit.a, fit.b, fit.c, fit.d


def _score(mean: Array, spread: Array, seen: Array) -> Array:
    z = (seen - mean) / spread
    density = np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi)
    return spread * (z * (2.0 * ndtr(z) - 1.0) + 2.0 * density - 1.0 / np.sqrt(np.pi))
