"""What the night page shows beside the night's record: days, past nights, what was seen, today's work."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from winterrisk.course import Course
from winterrisk.recovery.changes import DRAINED
from winterrisk.reports.strip_series import Strip
from winterrisk.reports.words import day_in_words
from winterrisk.reports.work_lines import work_lines
from winterrisk.sampling.workday import workdays

Rows = Mapping[str, Sequence[Mapping[str, Any]]]


@dataclass(frozen=True)
class Beside:
    """units: metric or us; by zone label: strips, said (what past nights said), seen (lately, in words);
    work: today's list, line by line."""

    units: str
    invented: bool
    strips: Mapping[str, Strip]
    said: Rows
    seen: Rows
    work: Sequence[str]


def todays_work(night: Mapping[str, Any], course: Course) -> list[str]:
    """What the crew of the course file does today in the hours it has, line by line."""
    on, crew = dt.date.fromisoformat(night["on"]), course.crew
    hours = crew.people * crew.hours
    if not hours:
        return []
    next_day = workdays(course, on)[0]
    if next_day != on:
        return [
            f"Nobody works today by the course file; the next day somebody does is {day_in_words(next_day)}."
        ]
    ponding = {view.label for view in course.zones() if view.holds_water > DRAINED}
    return work_lines(night, hours, ponding)
