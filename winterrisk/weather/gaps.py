"""Gaps in an hourly series: found, bridged where short, carried by other years' weather where long."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart
from winterrisk.weather.bridge import HOURLY_MEMORY, SHORT_GAP, across, spread_across
from winterrisk.weather.bridge_errors import bridge_shares
from winterrisk.weather.other_winters import lending_shifts

Array = NDArray[np.float64]

SHORT_WATER_GAP: Final = 3
"""Longest gap of precipitation that is bridged in a straight line [h] (judged: rain forgets faster than
warmth)."""


@dataclass(frozen=True)
class Filled:
    """A series without gaps, the spread of its filled hours (0 where measured), and which hours were lent."""

    values: Array
    spread: Array
    lent: NDArray[np.bool_]


def runs(flag: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First index and length of every run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flag, [False]]).astype(np.int8)))
    return [(int(a), int(b - a)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def filled(
    anomaly: Array,
    *,
    first_hour: int,
    key: tuple[KeyPart, ...],
    spread: float,
    short: int = SHORT_GAP,
    joined: bool = True,
) -> Filled:
    """The anomalies with every gap filled.

    Gaps up to `short` hours are bridged in a straight line, as sure as such lines are on the known hours of
    the record (`bridge_errors`); longer ones take another stretch's anomalies, joined at both ends without a
    jump when `joined`; where nothing can lend, the anomaly fades from the ends to 0.

    Args:
        anomaly (time): NaN where missing; first_hour [h since 1970]: of the series, for the key of a gap.
        key: course and variable; spread: standard deviation of the anomaly.
    """
    known = np.isfinite(anomaly)
    values, sd = _short_bridged(anomaly, known, short, spread)
    lent = np.zeros(len(anomaly), dtype=bool)
    bridged = values.copy()
    for first, length in runs(~np.isfinite(bridged)):
        stretch = slice(first, first + length)
        shifts = lending_shifts(known, first, length, key=(*key, first_hour + first))
        before, after = ends(bridged, first, length)
        if shifts:
            values[stretch] = lent_anomaly(bridged, first, length, shifts[0], joined=joined)
            lent[stretch] = True
        else:
            values[stretch] = across(length, before, after) if joined else 0.0
        sd[stretch] = spread_across(length, before, after, spread)
    return Filled(values, sd, lent)


def ends(values: Array, first: int, length: int) -> tuple[float, float]:
    """The values on either side of a gap, NaN where the record has none."""
    before = float(values[first - 1]) if first > 0 else np.nan
    after = float(values[first + length]) if first + length < len(values) else np.nan
    return before, after


def lent_anomaly(anomaly: Array, first: int, length: int, shift: int, *, joined: bool) -> Array:
    """Anomalies (hour of the gap) of another stretch of the record, drawn to both ends of the gap when
    `joined`.

    Weights as in `bridge.across`: the other stretch plus the expected difference, which keeps the spread
    right.
    """
    there = np.nan_to_num(anomaly[first + shift : first + shift + length])
    if not joined:
        return there
    before, after = ends(anomaly, first, length)
    there_before, there_after = ends(anomaly, first + shift, length)
    difference = (
        before - (there_before if np.isfinite(there_before) else 0.0),
        after - (there_after if np.isfinite(there_after) else 0.0),
    )
    return there + across(length, *difference)


def _short_bridged(
    anomaly: Array, known: NDArray[np.bool_], short: int, spread: float
) -> tuple[Array, Array]:
    values, sd = anomaly.copy(), np.zeros(len(anomaly))
    index = np.arange(len(anomaly))
    if known.all() or not known.any():
        return values, sd
    before = np.maximum.accumulate(np.where(known, index, -1))
    after = np.minimum.accumulate(np.where(known, index, len(index))[::-1])[::-1]
    length = after - before - 1
    bridged = ~known & (before >= 0) & (after < len(index)) & (length <= short)
    values[bridged] = np.interp(index[bridged], index[known], anomaly[known])
    k, g = (index - before)[bridged], length[bridged]
    up = (1 - HOURLY_MEMORY ** (2 * k)) * (1 - HOURLY_MEMORY ** (2 * (g + 1 - k)))
    shares = bridge_shares(anomaly, np.unique(g).tolist(), spread)
    share = np.array([shares[int(n)] for n in np.unique(g)])[np.unique(g, return_inverse=True)[1]]
    sd[bridged] = spread * share * np.sqrt(up / (1 - HOURLY_MEMORY ** (2 * (g + 1))))
    return values, sd
