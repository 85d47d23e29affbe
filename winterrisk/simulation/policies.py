"""When and where plugs are cut by habit: the customs a planner has to beat."""

import datetime as dt
from collections.abc import Callable
from typing import Final

import numpy as np

from winterrisk.science.keyed import KeyPart, generator
from winterrisk.simulation.field import Field
from winterrisk.simulation.truth import Truth

Round = tuple[np.datetime64, str]
Habit = Callable[[Truth, np.datetime64, np.datetime64], list[Round]]
FROM_DAY: Final = 30
ONCE_AT: Final = 45
WEDNESDAY: Final = 2


def every_wednesday(truth: Truth, first: np.datetime64, last: np.datetime64) -> list[Round]:
    """Each Wednesday, every zone that has been under ice for 30 days or more."""
    found = []
    for i, day in enumerate(truth.days):
        wednesday = day.astype(dt.date).weekday() == WEDNESDAY
        if first <= day <= last and wednesday:
            found += [(day, zone) for z, zone in enumerate(truth.zones) if truth.under_ice[i, z] >= FROM_DAY]
    return found


def once_at_day_45(truth: Truth, first: np.datetime64, last: np.datetime64) -> list[Round]:
    """Once, in every zone, on the day the zone has been under ice for 45 days."""
    found = []
    for z, zone in enumerate(truth.zones):
        there = np.flatnonzero(
            (truth.under_ice[:, z] >= ONCE_AT) & (truth.days >= first) & (truth.days <= last)
        )
        if len(there):
            found.append((truth.days[there[0]], zone))
    return sorted(found)


HABITS: Final[dict[str, Habit]] = {
    "every Wednesday from day 30 of ice": every_wednesday,
    "once at day 45": once_at_day_45,
}


def whole_about(mean: float, key: tuple[KeyPart, ...]) -> int:
    """A whole number drawn about a mean: the one below or the one above it."""
    below = int(mean)
    return below + int(generator(*key).random() < mean - below)


def carried_out(rounds: list[Round], per_round: float, truth: Truth, key: tuple[KeyPart, ...]) -> Field:
    """The rounds of a habit with `per_round` plugs each on average, whole numbers drawn about it."""
    field = Field(truth, key)
    for day, zone in rounds:
        number = whole_about(per_round, (*key, "plugs of a round", zone, str(day)))
        if number > 0:
            field.pull(zone, day, number)
    return field
