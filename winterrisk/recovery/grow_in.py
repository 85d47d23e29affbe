"""When seed comes up and when each way of repair carries play, spring by spring."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from winterrisk.recovery.thermal_time import MEAN_OF, NEVER, day_reached, first_warm_day

Array = NDArray[np.float64]
Values = Mapping[str, Array | float]
NINE_TENTHS = 0.9
"""Cover that the row `establish_time` is for [1]."""
A_TENTH = 0.1
"""Dead share that the row `fill_in_time` is for [1]."""


@dataclass(frozen=True)
class Dates:
    """Days of one way of repair, one a spring (member), counted as the days of the soil; inf where never.

    work: of sowing or laying; up: emergence, inf where nothing is sown; play: fit for play. cover_on, cover_off:
    of a permeable cover over the seed; inf where none is of use.
    """

    work: Array
    up: Array
    play: Array
    cover_on: Array | float = NEVER
    cover_off: Array | float = NEVER


def waited(soil: Array, start: int, dead: float, rows: Values, since: int | None = None) -> Dates:
    """Survivors fill in by themselves: a tenth dead in `fill_in_time`, more in proportion.

    Args:
        soil (day, member) [degC]; start: first day told; dead [1]: dead share; rows: values or draws (member).
        since: day on which so much was dead, where that is before `start`: survivors have filled in from then on.
    """
    warmth = np.asarray(rows["fill_in_time"]) * max(dead, A_TENTH) / A_TENTH
    begin = np.full(soil.shape[1:], float(start))
    seen = begin if since is None else np.minimum(begin, float(since))
    filled = np.maximum(day_reached(soil, seen, rows["growth_base"], warmth), begin)
    return Dates(begin, np.full(begin.shape, NEVER), filled)


def seeded(soil: Array, start: int, grass: str, cover: float, rows: Values) -> Dates:
    """Seed of a grass, sown once the soil is warm enough, to the cover at which it carries play.

    Args:
        grass: species sown; cover [1]: cover at which new turf carries play.
    """
    sown = first_warm_day(soil, start, float(np.mean(rows["seed_soil"])))
    up = emergence(soil, sown, grass, rows)
    play = _established(soil, germinated(soil, sown, grass, rows), cover, rows)
    return Dates(sown, up, play)


def seeded_under_cover(soil: Array, start: int, grass: str, cover: float, rows: Values) -> Dates:
    """As `seeded`, under a permeable cover: on five days before sowing, off when the soil outside is warm enough.

    It is taken off after some weeks at the latest.
    """
    warm = soil + np.asarray(rows["cover_warmth"])
    sown = first_warm_day(warm, start, float(np.mean(rows["seed_soil"])))
    outside = first_warm_day(soil, start, float(np.mean(rows["cover_off_soil"])))
    off = np.minimum(np.maximum(outside, sown), sown + float(np.mean(rows["cover_days"])))
    days = np.arange(len(soil)).reshape((-1,) + (1,) * (soil.ndim - 1))
    mixed = np.where(days < off, warm, soil)
    up = emergence(mixed, sown, grass, rows)
    play = _established(mixed, germinated(mixed, sown, grass, rows), cover, rows)
    return Dates(sown, up, play, np.maximum(sown - MEAN_OF, start), off)


def germinated(soil: Array, sown: Array | float, grass: str, rows: Values) -> Array:
    """Day (member) by which half the seed sown on `sown` has germinated; inf where the soil stays too cold.

    Reference: thermal time of Larsen and Bibby (2005); bent assumed (rows of the table).
    """
    return day_reached(soil, sown, rows[f"germination_base.{grass}"], rows[f"germination_time.{grass}"])


def emergence(soil: Array, sown: Array | float, grass: str, rows: Values) -> Array:
    """Day (member) on which seed sown on `sown` comes up; inf where the soil stays too cold.

    Bents show their first seedlings with ryegrass, before half their seed has germinated; the other grasses come
    up as half of it has.

    Reference: HortTechnology 31, 42 (2021) for the bents; thermal time as in `germinated`.
    """
    if f"emergence_time.{grass}" not in rows:
        return germinated(soil, sown, grass, rows)
    return day_reached(soil, sown, rows[f"emergence_base.{grass}"], rows[f"emergence_time.{grass}"])


def _established(soil: Array, begun: Array, cover: float, rows: Values) -> Array:
    warmth = np.asarray(rows["establish_time"]) * cover / NINE_TENTHS
    return day_reached(soil, begun, rows["growth_base"], warmth)


def sodded(soil: Array, start: int, rows: Values) -> Dates:
    """Sod, laid once the ground is open, to the day it carries play."""
    laid = first_warm_day(soil, start, float(np.mean(rows["sod_soil"])))
    return Dates(laid, np.full(laid.shape, NEVER), laid + np.round(np.asarray(rows["sod_days"])))


def plugged(soil: Array, start: int, rows: Values) -> Dates:
    """Cup-cutter plugs from the nursery, to the day they have knitted."""
    laid = first_warm_day(soil, start, float(np.mean(rows["sod_soil"])))
    return Dates(
        laid,
        np.full(laid.shape, NEVER),
        day_reached(soil, laid, rows["growth_base"], rows["plug_knit_time"]),
    )
