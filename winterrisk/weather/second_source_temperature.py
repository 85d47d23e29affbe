"""Air temperature of second sources: bias taken off, blended, drawn to the ends of the first one's gaps."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.bias import Bias, bias_of
from winterrisk.weather.blend import birge_ratios, blend_weights, covariance_of
from winterrisk.weather.bridge import ANOMALY_SPREAD, SHORT_GAP, across, spread_across
from winterrisk.weather.bridge_errors import bridge_shares
from winterrisk.weather.gaps import ends, runs
from winterrisk.weather.second_source_hours import OTHER_STATION, Source, expected_difference
from winterrisk.weather.usual import usual

Array = NDArray[np.float64]

WARMTH: Final = "air_temperature"
ALIKE: Final = 0.6
"""Correlation of two second sources' errors where too few common hours can tell [1] (judged: two models that
are fed alike)."""
ENOUGH_HOURS: Final = 240
"""Common hours of the first and two second sources that tell the correlation of their errors [h] (judged)."""


@dataclass(frozen=True)
class Unbiased:
    """Second sources as one estimate of the first (time): value and standard deviation [K], NaN where none has
    any; origin; how many went in; and the bias taken off each source."""

    value: Array
    spread: Array
    origin: NDArray[np.int8]
    count: NDArray[np.int64]
    biases: dict[str, Bias]


def unbiased(times: NDArray[np.datetime64], first: Array, sources: Sequence[Source]) -> Unbiased:
    """The second sources less their biases, blended by what each is sure of; wider where they disagree.

    Args:
        times (hour): UTC; first (hour) [degC]: NaN where missing; sources: that know some air temperature.
    """
    biases = [
        bias_of(times, s.values[WARMTH] - first, usual_difference=expected_difference(s)) for s in sources
    ]
    values = np.array([s.values[WARMTH] - b.value for s, b in zip(sources, biases, strict=True)])
    alike = _correlation(values - first)
    value, spread = np.full(len(times), np.nan), np.full(len(times), np.nan)
    here = np.isfinite(values)
    left = np.array([b.left for b in biases])
    level = np.array([b.spread for b in biases])
    pattern = (2 ** np.arange(len(sources))) @ here
    for code in np.unique(pattern[pattern > 0]):
        at = np.flatnonzero(pattern == code)
        kept = here[:, at[0]]
        r = alike[np.ix_(kept, kept)]
        weights = blend_weights(left[kept], r)
        value[at] = weights @ values[kept][:, at]
        own = weights @ covariance_of(left[kept], r) @ weights
        of_level = weights**2 @ level[kept][:, at] ** 2
        apart = birge_ratios(values[kept][:, at], left[kept], r)
        spread[at] = apart * np.sqrt(own + of_level)
    origin = np.full(len(times), OTHER_STATION, dtype=np.int8)
    for source, known in zip(sources, here, strict=True):
        origin = np.where(known, np.maximum(origin, source.origin[WARMTH]), origin)
    named = {s.name: b for s, b in zip(sources, biases, strict=True)}
    return Unbiased(value, spread, origin, here.sum(axis=0), named)


def _correlation(errors: Array) -> Array:
    """Correlation (source, source) of errors (source, hour) [1], `ALIKE` where too few hours tell, never below
    0."""
    r = np.eye(len(errors))
    for a in range(len(errors)):
        for b in range(a):
            both = np.isfinite(errors[a]) & np.isfinite(errors[b])
            told = float(np.corrcoef(errors[a][both], errors[b][both])[0, 1]) if both.sum() else np.nan
            r[a, b] = r[b, a] = np.clip(told, 0.0, 0.95) if both.sum() >= ENOUGH_HOURS else ALIKE
    return r


def fill_from(
    times: NDArray[np.datetime64], first: Array, second: Unbiased
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Temperature (time) [degC] with its gaps filled where that is surer than a bridge, the standard deviation
    (0 where it was not filled here), and which hours were.

    A short gap that its own ends bridge with less spread than the second source has stays open. In the
    others the second source is drawn to the known ends, its error fading as a first-order series does.

    Args:
        times (hour); first (hour) [degC]: NaN where missing; second: as `unbiased` gives it.
    """
    out, spread = first.copy(), np.zeros(len(first))
    taken = np.zeros(len(first), dtype=bool)
    expected = usual(times, first, ANOMALY_SPREAD)
    gaps = runs(~np.isfinite(first))
    short = {length for _, length in gaps if length <= SHORT_GAP}
    shares = bridge_shares(first - expected.at(times), short, expected.spread)
    error = first - second.value
    for begin, length in gaps:
        gap = slice(begin, begin + length)
        there = np.isfinite(second.value[gap])
        if not there.any():
            continue
        bridge = spread_across(length, *ends(first, begin, length), expected.spread).max()
        drawn = ends(error, begin, length)
        sd = second.spread[gap] * spread_across(length, *drawn, 1.0)
        if bridge * shares.get(length, 1.0) <= np.nanmean(second.spread[gap]):
            continue
        out[gap] = np.where(there, second.value[gap] + across(length, *drawn), first[gap])
        spread[gap] = np.where(there, sd, 0.0)
        taken[gap] = there
    return out, spread, taken
