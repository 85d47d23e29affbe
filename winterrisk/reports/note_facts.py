"""What is known by a date for a note: looks, plugs, verdicts and surveys, and which zones have evidence of loss."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from winterrisk.book import Record
from winterrisk.course import Course, winter_of
from winterrisk.reports.season_damage import area_damage, zone_survey
from winterrisk.reports.season_days import of_winter
from winterrisk.reports.season_done import SEEN
from winterrisk.reports.season_plugs import LIKELY, plug_rounds

Row = dict[str, Any]
DEAD_STATES: Final = ("dead", LIKELY)


@dataclass(frozen=True)
class NoteFacts:
    """What a note may lean on, all known by `on`.

    looks: days on which somebody looked; plugs: cut this winter, controls left out; growing: of these without a
    verdict yet. failed: rounds of plugs with a plug dead or likely dead; thrived: rounds all alive. surveyed:
    zone -> survey; damage: of the surveyed greens together, None without a survey.
    """

    course: Course
    on: dt.date
    winter: str
    looks: int
    plugs: int
    growing: int
    failed: tuple[Row, ...]
    thrived: tuple[Row, ...]
    surveyed: Mapping[str, Row]
    damage: Row | None

    @property
    def evidence(self) -> tuple[str, ...]:
        """Zones with a plug or a survey that shows loss, in the order of the course."""
        failed = {row["zone"] for row in self.failed}
        hurt = {zone for zone, survey in self.surveyed.items() if survey["low"] > 0}
        spared = {zone for zone, survey in self.surveyed.items() if survey["high"] <= 0}
        return tuple(z for z in self.course.zone_labels() if z in (failed | hurt) - spared)

    @property
    def areas(self) -> tuple[str, ...]:
        """Areas with a zone in evidence."""
        return tuple(dict.fromkeys(self.course.zone(zone).area for zone in self.evidence))

    @property
    def names(self) -> tuple[str, ...]:
        """Proper names of the course, which no gate may trip over."""
        areas = [area.name for area in self.course.areas]
        return (self.course.place.name, *self.course.zone_labels(), *areas)


def note_facts(course: Course, record: Record, on: dt.date, values: Mapping[str, float]) -> NoteFacts:
    """The facts of the winter of `on` in a record that holds what was known by then.

    Args:
        values: threshold values, with the course's plug room in them.
    """
    winter = winter_of(on)
    rounds = plug_rounds(record.plugs, record.looks, record.batches, winter, course.timezone, values)
    seen = of_winter(record.observations, "time", winter, course.timezone)
    looked = {day for day, kind in zip(seen["day"], seen["kind"], strict=True) if kind in SEEN}
    own = [row for row in rounds if row["number"] > row["controls"]]
    views = [view for view in course.zones() if view.kind == "green"] or list(course.zones())
    surveyed = {
        view.label: found
        for view in course.zones()
        if (found := zone_survey(record.surveys, view, winter)) is not None
    }
    greens = [{"zone": v.label, "size_m2": v.size, "survey": surveyed.get(v.label)} for v in views]
    return NoteFacts(
        course,
        on,
        winter,
        looks=len(looked),
        plugs=sum(row["number"] - row["controls"] for row in own),
        growing=sum(row["number"] - row["controls"] for row in own if row["state"] == "open"),
        failed=tuple(row for row in own if row["state"] in DEAD_STATES),
        thrived=tuple(row for row in own if row["state"] == "alive"),
        surveyed=surveyed,
        damage=area_damage(greens) if any(row["survey"] for row in greens) else None,
    )
