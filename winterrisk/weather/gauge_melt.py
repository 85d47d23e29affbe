"""Water that an unheated gauge reports when the snow in its funnel melts: late, and not rain."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.gaps import runs

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SPELL: Final = 12
"""Hours of cold in which snow can gather in a funnel [h] (judged)."""
BREAK: Final = 3
"""Hours of thaw that do not yet empty a funnel [h] (judged)."""
MELTS_WITHIN: Final = 24
"""Time after a cold spell within which a funnel empties [h] (judged: a night may freeze it again)."""
FASTEST: Final = 2.5
"""Most water that melts out of a funnel in an hour [kg m-2] (judged: 90 W m-2 of warmth and sun melt 1; more than
this is rain)."""
HOLDS: Final = 1.5
"""Water that may come out, over what the snow depth says fell into it [1] (judged)."""
TOO_DRY: Final = 3.0
"""Dew point so far below the air that it does not rain [K] (judged: 80 % humidity)."""


@dataclass(frozen=True)
class Pulse:
    """Steps (index) at which a gauge's water is snow that melts, and whether the air says so too."""

    steps: NDArray[np.int64]
    sure: Flags


def melt_pulses(
    temperature: Array, water: Array, cold: Flags, snow: Array, told: Flags, depression: Array
) -> list[Pulse]:
    """For each thaw after a cold spell, the hours whose water is most likely melt.

    After 12 h of cold, water of up to 2.5 mm/h within 24 h of the thaw is melt, unless the snow depth says
    that nothing fell in the spell, and no more than 1.5 times what it says fell. Dry air makes it certain;
    in moist air it could be rain: nobody can tell.

    Args:
        temperature [degC], water [kg m-2], cold (hour); snow (hour) [kg m-2] and told (hour): as `Rises` has
            them; depression (hour) [K]: of the dew point, NaN where unknown.
    """
    found = []
    spells = _spells(cold)
    for number, (begin, end) in enumerate(spells):
        until = min(end + MELTS_WITHIN, len(water))
        if number + 1 < len(spells):
            until = min(until, spells[number + 1][0])
        inside = slice(begin, end)
        room = HOLDS * float(snow[inside].sum()) if told[inside].all() else np.inf
        after = np.arange(end, until)
        wet = after[(water[after] > 0.0) & (water[after] <= FASTEST) & (temperature[after] > 0.0)]
        steps = wet[np.cumsum(water[wet]) <= room]
        if len(steps):
            found.append(Pulse(steps, np.nan_to_num(depression[steps]) >= TOO_DRY))
    return found


def _spells(cold: Flags) -> list[tuple[int, int]]:
    """First hour and hour past the end of cold spells; short thaws within belong to them."""
    bridged = cold.copy()
    for begin, length in runs(~cold):
        if length <= BREAK and begin > 0 and begin + length < len(cold):
            bridged[begin : begin + length] = True
    return [(begin, begin + length) for begin, length in runs(bridged) if length >= SPELL]
