"""Freezing and thawing counted: days, spells, runs, degree days, turns; and numbers rounded as weather
services do.

"Highest" and "lowest" are daily extremes of air temperature in degC. What counts at exactly zero is named in
every function: it changes the counts.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

ROUNDING_SLACK: Final = 1e-9
"""Binary digits below a half that still count as the half: 0.15 is held as 0.1499999..."""


def freeze_thaw_day(
    highest: ArrayLike, lowest: ArrayLike, *, zero_freezes: bool = True, zero_thaws: bool = False
) -> Flags:
    """Whether each day (day) both thawed and froze: highest above zero and lowest at or below zero.

    Args:
        highest, lowest (day) [degC]; zero_freezes: a lowest of exactly 0 froze; zero_thaws: a highest of 0
            thawed. A missing value makes the day no freeze-thaw day.
    Reference: the defaults are those of xclim `daily_freezethaw_cycles` and of the Canadian Climate Scenarios
        site.
    """
    high, low = _values(highest), _values(lowest)
    thawed = high >= 0.0 if zero_thaws else high > 0.0
    froze = low <= 0.0 if zero_freezes else low < 0.0
    return thawed & froze


def freeze_thaw_days(
    highest: ArrayLike, lowest: ArrayLike, *, zero_freezes: bool = True, zero_thaws: bool = False
) -> int:
    """Number of freeze-thaw days [d]; arguments as in `freeze_thaw_day`."""
    return int(freeze_thaw_day(highest, lowest, zero_freezes=zero_freezes, zero_thaws=zero_thaws).sum())


def spell_lengths(flag: ArrayLike, window: int = 1) -> NDArray[np.int64]:
    """Length [d] of every run of days on which something held, of at least `window` days."""
    held = np.concatenate([[False], np.asarray(flag, dtype=bool), [False]])
    edges = np.flatnonzero(np.diff(held.astype(np.int8)))
    lengths = edges[1::2] - edges[::2]
    return lengths[lengths >= window]


def freeze_thaw_spells(highest: ArrayLike, lowest: ArrayLike, window: int = 1) -> int:
    """Number of spells of at least `window` freeze-thaw days in a row (highest > 0, lowest <= 0)."""
    return len(spell_lengths(freeze_thaw_day(highest, lowest), window))


def mean_freeze_thaw_spell(highest: ArrayLike, lowest: ArrayLike, window: int = 1) -> float:
    """Mean length of freeze-thaw spells [d], 0 where there is none."""
    lengths = spell_lengths(freeze_thaw_day(highest, lowest), window)
    return float(lengths.mean()) if len(lengths) else 0.0


def longest_freeze_thaw_spell(highest: ArrayLike, lowest: ArrayLike) -> int:
    """Length of the longest freeze-thaw spell [d]."""
    return int(spell_lengths(freeze_thaw_day(highest, lowest)).max(initial=0))


def ice_days(highest: ArrayLike, *, zero_counts: bool = False) -> int:
    """Number of days that stayed below zero [d] (ETCCDI; with `zero_counts` at or below zero)."""
    high = _values(highest)
    return int((high <= 0.0 if zero_counts else high < 0.0).sum())


def frost_days(lowest: ArrayLike, *, zero_counts: bool = False) -> int:
    """Number of days that went below zero [d] (ETCCDI; with `zero_counts` to zero or below)."""
    low = _values(lowest)
    return int((low <= 0.0 if zero_counts else low < 0.0).sum())


def longest_frost_run(lowest: ArrayLike) -> int:
    """Length of the longest run of days that went below zero [d]."""
    return int(spell_lengths(_values(lowest) < 0.0).max(initial=0))


def freezing_degree_days(highest: ArrayLike, lowest: ArrayLike) -> float:
    """Sum of the degrees below zero of the daily means [K d]; the mean is half the sum of the extremes."""
    return float(np.nansum(np.maximum(-_means(highest, lowest), 0.0)))


def thawing_degree_days(highest: ArrayLike, lowest: ArrayLike) -> float:
    """Sum of the degrees above zero of the daily means [K d]."""
    return float(np.nansum(np.maximum(_means(highest, lowest), 0.0)))


def air_freezing_index(highest: ArrayLike, lowest: ArrayLike) -> float:
    """Air freezing index of a season [K d]: highest point of the cumulative degree days minus the lowest that
    follows it.

    Thaws count against it, so it is at most the sum of freezing degree days. A missing day counts as zero.
    Reference: AMS Glossary, "freezing index".
    """
    reached = np.concatenate([[0.0], np.cumsum(np.nan_to_num(_means(highest, lowest)))])
    return float(np.max(np.maximum.accumulate(reached) - reached))


def turns_to_frost(temperature: ArrayLike, thaw: float = 1.0, freeze: float = -1.0) -> int:
    """Number of times a temperature (time) [degC] fell from at least `thaw` to `freeze` or below.

    With hysteresis: wobbling about zero is no event. Give hours, or half-day extremes in their order.
    """
    return _turns(temperature, thaw, freeze)[0]


def turns_to_thaw(temperature: ArrayLike, thaw: float = 1.0, freeze: float = -1.0) -> int:
    """Number of times a temperature (time) [degC] rose from `freeze` or below to at least `thaw`."""
    return _turns(temperature, thaw, freeze)[1]


def half_days(highest: ArrayLike, lowest: ArrayLike) -> Array:
    """Daily extremes in a row (half day) [degC]: lowest, highest, lowest, ...

    Daily extremes do not say which came first; the lowest is taken for the morning's (judged).
    """
    return np.column_stack([_values(lowest), _values(highest)]).ravel()


def daily_turns_to_frost(
    highest: ArrayLike, lowest: ArrayLike, thaw: float = 1.0, freeze: float = -1.0
) -> int:
    """Number of turns from thaw to frost in daily extremes, lowest before highest."""
    return turns_to_frost(half_days(highest, lowest), thaw, freeze)


def daily_turns_to_thaw(
    highest: ArrayLike, lowest: ArrayLike, thaw: float = 1.0, freeze: float = -1.0
) -> int:
    """Number of turns from frost to thaw in daily extremes, lowest before highest."""
    return turns_to_thaw(half_days(highest, lowest), thaw, freeze)


def wmo_rounded(value: ArrayLike, decimals: int = 0) -> Array:
    """Values rounded as in weather summaries: halves go up, -2.5 to -2 and 2.5 to 3; never -0.0.

    Python and numpy round halves to even instead. Thresholds are compared with unrounded values.
    Reference: WMO practice as told in US NWS information notices 11-54 and 12-54.
    """
    scale = 10.0**decimals
    return np.floor(np.asarray(value, dtype=np.float64) * scale + 0.5 + ROUNDING_SLACK) / scale + 0.0


def _values(given: ArrayLike) -> Array:
    return np.asarray(given, dtype=np.float64)


def _means(highest: ArrayLike, lowest: ArrayLike) -> Array:
    return (_values(highest) + _values(lowest)) / 2.0


def _turns(temperature: ArrayLike, thaw: float, freeze: float) -> tuple[int, int]:
    """Turns to frost and turns to thaw of the state that a temperature leaves behind."""
    state, to_frost, to_thaw = 0, 0, 0
    for t in _values(temperature).tolist():
        if state != 1 and t >= thaw:
            to_thaw += state == -1
            state = 1
        elif state != -1 and t <= freeze:
            to_frost += state == 1
            state = -1
    return to_frost, to_thaw
