"""What is known by a date for a note: looks, plugs, verdicts and surveys, and which zones have evidence of loss."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from winterrisk.book import Record
from winterrisk.course import Course, winter_of
from winterrisk.plugs import DEAD, EARLY, verdict
from winterrisk.reports.season_damage import area_damage, zone_survey
from winterrisk.reports.season_days import of_winter
from winterrisk.reports.season_done import SEEN
from winterrisk.reports.season_plugs import LIKELY, plug_rounds

Row = dict[str, Any]
SURE: Final = 5 / 6
"""Chance from which a plug that may not be called dead yet is evidence for a note [1] (judged: what is told to
people outside is wrong in one case of six at the most)."""


@dataclass(frozen=True)
class NoteFacts:
    """What a note may lean on, all known by `on`.

    looks: days on which somebody looked; plugs: cut this winter, controls left out; growing: of these without a
    verdict yet. failed: rounds with a plug dead, or dead by 5 in 6; thrived: rounds all alive. surveyed:
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
    failed = _failed(course, record, winter, values)
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
        growing=sum(row["number"] - row["controls"] for row in own if _is_open(row, failed)),
        failed=tuple(row for row in own if (row["zone"], row["cut"]) in failed),
        thrived=tuple(row for row in own if row["state"] == "alive"),
        surveyed=surveyed,
        damage=area_damage(greens) if any(row["survey"] for row in greens) else None,
    )


def _is_open(row: Row, failed: frozenset[tuple[str, str]]) -> bool:
    return row["state"] in ("open", LIKELY) and (row["zone"], row["cut"]) not in failed


def _failed(
    course: Course, record: Record, winter: str, values: Mapping[str, float]
) -> frozenset[tuple[str, str]]:
    """Zones and days of cut with a plug that is dead, or dead by the chance that a note asks for."""
    cut = of_winter(record.plugs, "cut", winter, course.timezone)
    seen = record.looks[record.looks["plug"].isin(cut["id"])]
    if seen.empty:
        return frozenset()
    on = np.datetime64(max(seen["known"].max(), cut["known"].max()), "s")
    table = verdict(cut, seen, batch=record.batches, priors=values["plug_prior_dead"], on=on, values=values)
    sure = (table["state"] == DEAD) | (
        (table["state"] == EARLY) & (table["looks"] > 0) & (table["chance_dead"] >= SURE)
    )
    ids = set(table[sure & ~table["control"].astype(bool)]["plug"])
    rows = cut[cut["id"].isin(ids)]
    return frozenset((zone, day.isoformat()) for zone, day in zip(rows["zone"], rows["day"], strict=True))
