"""Turns of phrase that both notes share: days as ranges, greens by name, what was looked at."""

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from typing import Any, Final

from winterrisk.reports.note_facts import NoteFacts
from winterrisk.reports.recovery_words import short
from winterrisk.reports.units import share_range
from winterrisk.reports.words import area_name, joined

Row = Mapping[str, Any]
EITHER_WAY: Final = dt.timedelta(days=7)
"""Half width of the range in which a planned day is told [d] (judged)."""


def between(first: str | None, last: str | None, last_day: str) -> str:
    """A range of days: 'between 6 and 31 May', 'after 27 Oct'; never one day alone."""
    if first is None:
        return f"after {short(last_day)}"
    start = dt.date.fromisoformat(first)
    end = dt.date.fromisoformat(last or last_day)
    end = max(end, start + dt.timedelta(days=1))
    day = short(first).split(" ")[0] if (start.year, start.month) == (end.year, end.month) else short(first)
    return f"between {day} and {short(end.isoformat())}"


def about(day: dt.date) -> str:
    """A planned day as the fortnight round it."""
    return between((day - EITHER_WAY).isoformat(), (day + EITHER_WAY).isoformat(), day.isoformat())


def survey_words(facts: NoteFacts) -> str:
    """What the spring survey found on the greens: the share dead where it found some, else what is alive at least."""
    damage = facts.damage or {"low": 0.0, "high": 0.0}
    where = "of the turf on the greens surveyed"
    if facts.evidence and damage["high"] > 0:
        return f"The spring survey found {share_range(damage['low'], damage['high'])} {where} dead"
    least = "all" if damage["high"] <= 0 else f"at least {100 - math.ceil(100 * damage['high']):d} %"
    return f"The spring survey found {least} {where} alive"


def greens(facts: NoteFacts, areas: Iterable[str]) -> str:
    """Areas as they are spoken of: 'green 4', 'greens 4 and 7', 'green 4 and nursery'."""
    names = list(areas)
    kinds = {facts.course.area(name).kind for name in names}
    if len(kinds) == 1 and (kind := kinds.pop()) not in names:
        return f"{kind}{'s' if len(names) > 1 else ''} {joined(names)}"
    return joined([area_name(facts.course.area(name).kind, name) for name in names])


def counted(number: int, what: str) -> str:
    """'1 plug', '12 plugs'."""
    return f"{number} {what}{'' if number == 1 else 's'}"
