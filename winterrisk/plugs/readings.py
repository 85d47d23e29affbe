"""What the looks at one plug read: green, brown or nothing, each at its thermal age."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from winterrisk.plugs.plug import ANY_SPECIES, Batch, Look, Plug
from winterrisk.plugs.warmth import days_between, pace, warm_from

Array = NDArray[np.float64]

GREEN_COLOURS = ("green", "pale green", "dark green")


@dataclass(frozen=True)
class Readings:
    """Readings of one plug and species in order of time.

    day (n) [d] and age (n) [degC d]: since the plug came into the warm. green (n): True where the look read
    green. strongest [1]: the largest new growth read, NaN where only colours were noted.
    """

    day: Array
    age: Array
    green: NDArray[np.bool_]
    strongest: float = float("nan")

    @property
    def first_green(self) -> int | None:
        """Index of the first look that read green."""
        return int(np.argmax(self.green)) if self.green.any() else None


def reads_green(look: Look, day: float, values: Mapping[str, float]) -> bool | None:
    """Whether a look reads green, brown (False) or nothing (None).

    New growth decides. A trace of it, or green colour in the first days without it, says nothing: turf cut
    green can stay green for days and be dead.
    """
    if not np.isnan(look.new_growth):
        if look.new_growth >= values["plug_green_from"]:
            return True
        return False if look.new_growth <= 0 else None
    if look.colour.strip().lower() in GREEN_COLOURS:
        return True if day >= values["plug_first_day"] else None
    return False if look.colour else None


def readings(
    plug: Plug, looks: Iterable[Look], species: str, batch: Batch | None, values: Mapping[str, float]
) -> Readings:
    """Readings of a plug for one species: looks at that grass, and looks at the whole plug that read brown.

    A whole plug that is brown is brown in every species; a whole plug that is green tells nothing of one.
    """
    start, gain = warm_from(plug, batch, values), pace(batch, values)
    rows: list[tuple[float, bool, float]] = []
    for look in looks:
        if look.species not in (species, ANY_SPECIES):
            continue
        day = max(0.0, days_between(start, look.time))
        green = reads_green(look, day, values)
        if green is None or (green and look.species != species):
            continue
        rows.append((day, green, look.new_growth))
    rows.sort(key=lambda row: row[0])
    days = np.array([row[0] for row in rows])
    grown = [row[2] for row in rows if not np.isnan(row[2])]
    return Readings(
        day=days,
        age=days * gain,
        green=np.array([row[1] for row in rows], dtype=bool),
        strongest=max(grown) if grown else float("nan"),
    )
