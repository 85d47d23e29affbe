"""Live share and green-up time of many plugs together, by maximum likelihood.

The likelihood is written out here: interval censored between looks, right censored after the last, with a
share that never greens. Some libraries' interval-censored cure models drop that share.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.special import expit, logit

from winterrisk.plugs.green_up import Family, turned_green

_PRECISE = {"xatol": 1e-8, "fatol": 1e-10, "maxiter": 20_000, "maxfev": 20_000}


class GreenUpFit(NamedTuple):
    """Live share [1], median (unit of the ages), shape, and the log likelihood at its maximum."""

    alive_share: float
    median: float
    shape: float
    log_likelihood: float


def green_up_log_likelihood(
    ages: Sequence[float],
    newly_green: Sequence[int],
    never: int,
    alive_share: float,
    median: float,
    shape: float,
    family: Family = "lognormal",
) -> float:
    """Log likelihood of counts: sum n_j ln[p (F_j - F_(j-1))] + never ln[1 - p + p S(last)].

    Args:
        ages: ages of the looks, ascending (days or degC d). newly_green: plugs first green at each look.
        never: plugs not green at the last look.
    """
    greened = turned_green(np.asarray(ages, dtype=np.float64), median, shape, family)
    steps = np.diff(np.concatenate(([0.0], greened)))
    counts = np.asarray(newly_green, dtype=np.float64)
    seen = counts > 0
    with np.errstate(divide="ignore"):
        total = counts[seen] @ np.log(alive_share * steps[seen])
        if never:
            total += never * np.log1p(-alive_share * greened[-1])
    return float(total)


def green_up_fit(
    ages: Sequence[float], newly_green: Sequence[int], never: int, family: Family = "lognormal"
) -> GreenUpFit:
    """Live share, median and shape that make the counts most likely.

    Stopped before about twice the median, such a test cannot tell late from dead: look at
    `alive_share_profile` before believing the share.
    """
    from scipy.optimize import minimize  # slow to load; nights do without

    greened = np.repeat(np.asarray(ages, dtype=np.float64), newly_green)
    share = min(0.98, max(0.02, greened.size / max(1, greened.size + never)))
    median, shape = np.log(np.median(greened)), -1.0 if family == "lognormal" else 0.7

    def cost(x: np.ndarray) -> float:
        value = green_up_log_likelihood(
            ages, newly_green, never, float(expit(x[0])), float(np.exp(x[1])), float(np.exp(x[2])), family
        )
        return -value if np.isfinite(value) else 1e10

    starts = [[logit(p), median + longer, shape] for p in (share, 0.6, 0.9) for longer in (0.0, 0.5)]
    found = [minimize(cost, start, method="Nelder-Mead", options=_PRECISE) for start in starts]
    best = min(found, key=lambda result: float(result.fun))
    p, age, power = float(expit(best.x[0])), float(np.exp(best.x[1])), float(np.exp(best.x[2]))
    return GreenUpFit(p, age, power, -float(best.fun))


def weibull_scale(median: float, shape: float) -> float:
    """Weibull scale of a median: median / (ln 2)^(1/shape)."""
    return float(median / np.log(2.0) ** (1.0 / shape))


class WeibullFit(NamedTuple):
    """A Weibull fit told by its scale: live share [1], scale (unit of the ages), shape, log likelihood."""

    alive_share: float
    scale: float
    shape: float
    log_likelihood: float


def weibull_fit(ages: Sequence[float], newly_green: Sequence[int], never: int) -> WeibullFit:
    """`green_up_fit` for the Weibull, told by its scale."""
    fit = green_up_fit(ages, newly_green, never, "weibull")
    return WeibullFit(fit.alive_share, weibull_scale(fit.median, fit.shape), fit.shape, fit.log_likelihood)


def alive_share_profile(
    shares: Sequence[float], ages: Sequence[float], newly_green: Sequence[int], never: int, family: Family
) -> list[float]:
    """Largest log likelihood at each given live share, less that at the best share of all.

    Flat means that the looks cannot tell late plugs from dead ones.
    """
    from scipy.optimize import minimize

    fit = green_up_fit(ages, newly_green, never, family)
    starts = [[np.log(fit.median * scale), np.log(fit.shape)] for scale in (0.7, 1.0, 1.5, 2.5)]
    profile = []
    for share in shares:

        def cost(x: np.ndarray, share: float = share) -> float:
            value = green_up_log_likelihood(
                ages, newly_green, never, share, float(np.exp(x[0])), float(np.exp(x[1])), family
            )
            return -value if np.isfinite(value) else 1e10

        found = [minimize(cost, start, method="Nelder-Mead", options=_PRECISE).fun for start in starts]
        profile.append(-float(min(found)))
    return [value - fit.log_likelihood for value in profile]
