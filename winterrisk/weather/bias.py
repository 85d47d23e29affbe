"""How much a second source reads above or below the first: a slow level, and a pattern of hour and season."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.weather.usual import WINDOW, day_and_hour, usual

Array = NDArray[np.float64]

PRIOR_VARIANCE: Final = 4.0
"""Variance of a bias before anything is known of it [K2] (judged: two stations of a region differ by 2 K)."""
WALK_VARIANCE: Final = 0.09
"""Growth of a bias's variance from one day to the next [K2 d-1] (judged: 0.3 K a day)."""
ERROR_VARIANCE: Final = 6.25
"""Variance of one day's difference about the bias [K2] (judged: 2.5 K, fronts that pass one station first)."""
PATTERN_DAYS: Final = 10.0
"""Days of an hour of the day, at one time of the year, whose differences count as much as none at all [d]
(judged)."""
NOTHING_KNOWN: Final = 1e6
"""Variance of a bias before the filter that runs backwards has seen anything [K2]."""
FEWEST_HOURS: Final = 6
"""Common hours that make a day's mean difference [h] (judged)."""
USUAL_LEFT: Final = 1.75
"""Spread that is left of a second source after its bias [K] where nothing is known of it: 1.1 to 1.9 for an
analysis (Lompar et al. 2019), about 1.5 to 2 for a station nearby."""
LEFT_HOURS: Final = 48.0
"""Common hours that count as much as this [h] (judged)."""


@dataclass(frozen=True)
class Level:
    """Bias (day) and its standard deviation [K]."""

    mean: Array
    spread: Array


def kalman_bias(
    residuals: ArrayLike,
    prior_variance: float = PRIOR_VARIANCE,
    walk_variance: float = WALK_VARIANCE,
    error_variance: float = ERROR_VARIANCE,
) -> Level:
    """Bias after each day, from the residuals up to it: a random walk seen with error.

    Each day the variance P grows by the walk, and the gain is P / (P + R); a day without a residual only
    grows, never beyond what was not known at the start.

    Args:
        residuals (day) [K]: the day's mean difference, NaN where it has none.
    Reference: Kalman (1960), J. Basic Eng. 82.
    """
    seen = np.asarray(residuals, dtype=np.float64)
    mean, variance = 0.0, prior_variance
    means, variances = np.empty(len(seen)), np.empty(len(seen))
    most = prior_variance + walk_variance
    for day, residual in enumerate(seen):
        variance = min(variance + walk_variance, most)
        if np.isfinite(residual):
            gain = variance / (variance + error_variance)
            mean += gain * (residual - mean)
            variance *= 1.0 - gain
        means[day], variances[day] = mean, variance
    return Level(means, np.sqrt(variances))


def latest_bias(
    residuals: ArrayLike,
    prior_variance: float = PRIOR_VARIANCE,
    walk_variance: float = WALK_VARIANCE,
    error_variance: float = ERROR_VARIANCE,
) -> tuple[float, float]:
    """Bias and its standard deviation [K] after the last of the residuals (`kalman_bias`)."""
    level = kalman_bias(residuals, prior_variance, walk_variance, error_variance)
    return float(level.mean[-1]), float(level.spread[-1])


def smooth_bias(residuals: ArrayLike) -> Level:
    """Bias of each day from the residuals on both sides of it, that of the day counted once.

    Two filters, one from each end, weighted by what each is sure of: within a gap of the first source both
    its ends speak.

    Args:
        residuals (day) [K]: the day's mean difference, NaN where it has none.
    Reference: Fraser and Potter (1969), IEEE Trans. Autom. Control 14 (the two-filter form), from memory.
    """
    seen = np.asarray(residuals, dtype=np.float64)
    forward, backward = kalman_bias(seen), kalman_bias(seen[::-1], prior_variance=NOTHING_KNOWN)
    ahead = np.append(backward.mean[::-1][1:], 0.0)
    variance = np.append(backward.spread[::-1][1:] ** 2, NOTHING_KNOWN) + WALK_VARIANCE
    sure, told = 1.0 / forward.spread**2, 1.0 / variance
    return Level((sure * forward.mean + told * ahead) / (sure + told), np.sqrt(1.0 / (sure + told)))


@dataclass(frozen=True)
class Bias:
    """What to take off a second source (time) [K], how sure that is, and the spread of what is left."""

    value: Array
    spread: Array
    left: float


def bias_of(times: NDArray[np.datetime64], difference: Array, *, usual_difference: float = 0.0) -> Bias:
    """Bias (time) of a second source, from the hours both sources have.

    The pattern of hour and season is the mean difference over 31 days and all years, drawn to
    `usual_difference` where few days tell; what is left of each day goes to the slow level.

    Args:
        times (hour): UTC without a break; difference (hour) [K]: second less first, NaN where either lacks.
        usual_difference [K]: expected before any is seen, as from a difference in height.
    """
    known = np.isfinite(difference)
    pattern = np.full(len(times), usual_difference)
    if known.any():
        off = difference - usual_difference
        table = usual(times, off, 0.0).at(times)
        days = _days_behind(times, known)
        pattern = usual_difference + table * days / (days + PATTERN_DAYS)
    day = times.astype("datetime64[D]").astype(np.int64)
    day -= day[0]
    rest = difference - pattern
    count = np.bincount(day, known.astype(float), minlength=day[-1] + 1)
    total = np.bincount(day, np.where(known, rest, 0.0), minlength=day[-1] + 1)
    daily = np.where(count >= FEWEST_HOURS, total / np.maximum(count, 1.0), np.nan)
    level = smooth_bias(daily)
    value = pattern + level.mean[day]
    left = difference - value
    squares = float(np.sum(left[known] ** 2)) + USUAL_LEFT**2 * LEFT_HOURS
    return Bias(value, level.spread[day], float(np.sqrt(squares / (known.sum() + LEFT_HOURS))))


def _days_behind(times: NDArray[np.datetime64], known: NDArray[np.bool_]) -> Array:
    """Days of the same hour within 15 days of the year that have a difference (time)."""
    day, hour = day_and_hour(times)
    count = np.zeros((366, 24))
    np.add.at(count, (day[known], hour[known]), 1.0)
    around = sum(np.roll(count, shift, axis=0) for shift in range(-WINDOW, WINDOW + 1))
    return np.asarray(around)[day, hour]
