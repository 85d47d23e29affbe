"""Stretches of temperature in another unit: found where the record jumps into it, and against its own usual."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.normals import FEWEST, Normals, normals
from winterrisk.weather.checks.rows import rows
from winterrisk.weather.checks.series import Array, Flags, Series, series
from winterrisk.weather.checks.slip_edges import LONGEST_GAP, Slip, between, slip_found
from winterrisk.weather.checks.telling import Telling

SLIPS: Final = (
    Slip("°F", "°C", lambda x: (x - 32.0) / 1.8),
    Slip("°C", "°F", lambda x: 1.8 * x + 32.0),
    Slip("kelvin", "°C", lambda x: x - 273.15),
)
JUMP: Final = {"hour": 10.0, "day": 12.0}
"""Jump at the edge of a slip [K] (judged): between -25 and -55 degC both scales lie too near to be told apart."""
NEAR: Final = {"hour": 4.0, "day": 10.0}
"""How near to the value across the edge the converted one must lie [K] (judged)."""
NEAR_PER_STEP: Final = 0.5
"""What each missing step at the edge adds to it [K] (judged)."""
SHORTEST: Final = {"hour": 6, "day": 3}
"""Shortest slip (judged): shorter ones are left to spikes and steps."""
FEWEST_DAYS: Final = 30
"""Days of the season from which the usual counts here, where an edge speaks too: two years (judged); not in
downslope-wind country."""
EDGES_TRIED: Final = 12
"""Edges out that are tried for an edge in (judged)."""
CLEAR: Final = 2.0
"""Standardised distance from the usual, median over the stretch, of a slip without two sure edges (judged)."""
BETTER: Final = 0.6
"""Share of that distance that may be left after conversion (judged)."""
LEAST_SPREAD: Final = 2.5
"""Standard deviation taken at least [K] (judged)."""
RECENT: Final = 720
"""Hours before the record's end within which one edge is believed where nothing is usual yet [h] (judged)."""
TWO_EDGES, BY_USUAL, LAST_EDGE = 0, 1, 2
"""Ways to find a slip, the surest first."""

Stretch = tuple[int, int, int]
"""Way it was found, first and last position."""


def temperature_slips(raw: xr.Dataset, *, downslope: bool = False) -> pd.DataFrame:
    """Stretches of temperature in degF, degC or K taken for another unit: bad, with the likely unit.

    An edge is a jump that the conversion takes away. Two edges are enough for hours. With one edge, for days
    and in downslope-wind country the stretch must also lie far from the record's own usual and near it after
    conversion. Where nothing is usual yet, one edge of air temperature in the last 30 days is believed: the
    slip that is going on tonight.

    Args:
        raw (time); downslope: the place knows chinook or foehn.
    Reference: judged.
    """
    tell, found = Telling.of(raw), []
    for names in (("air_temperature",), ("dew_point",), ("air_temperature_max", "air_temperature_min")):
        parts = [one for one in (series(raw, name) for name in names) if one is not None]
        if len(parts) != len(names) or parts[0].daily != (len(names) == 2):
            continue
        middle = Series(names[0], parts[0].times, np.mean([p.values for p in parts], axis=0), parts[0].step)
        known = middle.known
        shortest = SHORTEST["day" if middle.daily else "hour"]
        if len(known) < 2 * shortest:
            continue
        fewest = FEWEST if downslope else FEWEST_DAYS
        usual = normals(middle.times, middle.values, daily=middle.daily, fewest=fewest)
        stretches = [
            (stretch, slip)
            for slip in SLIPS
            for stretch in _slipped(middle, slip, usual, downslope=downslope)
        ]
        taken = np.zeros(len(known), dtype=bool)
        for (_, first, last), slip in sorted(stretches, key=_surest_and_shortest):
            if taken[max(first - 1, 0) : last + 2].any():
                continue
            taken[first : last + 1] = True
            if last - first + 1 >= shortest:
                for part in parts:
                    found.append(slip_found(tell, part, slip, int(known[first]), int(known[last])))
    return rows(found)


def _surest_and_shortest(stretch: tuple[Stretch, Slip]) -> tuple[int, int]:
    """Order in which stretches are taken: what lies between two short ones is the record, not a slip."""
    way, first, last = stretch[0]
    return way, last - first


def _slipped(one: Series, slip: Slip, usual: Normals, *, downslope: bool) -> list[Stretch]:
    """Stretches of the known values that may be in the slip's unit, and how each was found."""
    step = "day" if one.daily else "hour"
    known, values = one.known, one.values[one.known]
    gap, true = np.diff(known), slip.true(values)
    near = NEAR[step] + np.minimum(NEAR_PER_STEP * (gap - 1), NEAR[step])
    believed = (np.abs(np.diff(values)) >= JUMP[step]) & (gap <= LONGEST_GAP)
    enter = believed & (np.abs(true[1:] - values[:-1]) <= near)
    leave = believed & (np.abs(values[1:] - true[:-1]) <= near)
    if not (enter | leave).any():
        return []
    there = Normals(usual.mean[known], usual.spread[known])
    as_is = np.abs(there.score(values, LEAST_SPREAD))
    turned = np.abs(there.score(true, LEAST_SPREAD))
    found = _by_usual(enter, leave, as_is, turned)
    if one.daily or downslope:
        return found
    for first, last, edges in between(enter, leave, np.arange(len(known))):
        worse = (turned - as_is)[first : last + 1]
        worse = worse[np.isfinite(worse)]
        if edges == 2 and (not len(worse) or np.median(worse) < 0):
            found.append((TWO_EDGES, first, last))
        at_end = last == len(known) - 1 and first > 0 and gap[first - 1] == 1
        at_end &= 0 < known[-1] - known[first] < min(RECENT, len(known) / 2)
        if edges == 1 and at_end and not len(worse) and one.name == "air_temperature":
            found.append((LAST_EDGE, first, last))
    return found


def _by_usual(enter: Flags, leave: Flags, as_is: Array, turned: Array) -> list[Stretch]:
    """Stretches between an edge in and one of the next edges out that are usual only once converted, those
    that win most first."""
    gain = np.concatenate([[0.0], np.cumsum(np.nan_to_num(as_is - turned))])
    pairs = [(float(gain[last + 1] - gain[first]), first, last) for first, last in _pairs(enter, leave)]
    found: list[Stretch] = []
    for won, first, last in sorted(pairs, reverse=True):
        if won <= 0 or any(a <= last and first <= b for _, a, b in found):
            continue
        before, after = (float(np.nanmedian(z[first : last + 1])) for z in (as_is, turned))
        if before >= CLEAR and after <= BETTER * before:
            clear = (as_is >= CLEAR) & (turned <= BETTER * as_is)
            while first > 0 and clear[first - 1]:
                first -= 1
            while last < len(clear) - 1 and clear[last + 1]:
                last += 1
            found.append((BY_USUAL, first, last))
    return found


def _pairs(enter: Flags, leave: Flags) -> list[tuple[int, int]]:
    """First and last position of every stretch between an edge in and one of the next edges out, the record's
    begin and end among them."""
    into, out = np.flatnonzero(enter) + 1, np.flatnonzero(leave)
    pairs = [(0, int(b)) for b in out[:EDGES_TRIED]]
    for a in into:
        pairs += [(int(a), int(b)) for b in out[out >= a][:EDGES_TRIED]]
        pairs.append((int(a), len(enter)))
    return pairs
