"""Reads how well a course's nights are, from what lies in its folder; nothing is written or worked."""

import datetime as dt
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from winterrisk.book import open_book
from winterrisk.course import Course, night_instant, read_course
from winterrisk.reports.write_night import DATE, written_nights
from winterrisk.sampling.flip_flop import answered_since
from winterrisk.science.faults import Refused
from winterrisk.science.read_capped import capped_text
from winterrisk.watch.calendar import Calendar
from winterrisk.watch.due import backwards
from winterrisk.watch.read_log import Run, read_log
from winterrisk.watch.read_waiting import waiting_messages
from winterrisk.watch.status import CourseState
from winterrisk.watch.write_schedule import scheduled_by

WORKED = (0, 3, 4)


@dataclass(frozen=True)
class Said:
    """What a status needs of the record of a night: its date, calls as (zone, night that first asked), zones of which
    nothing was said, and the end of its weather (UTC)."""

    on: dt.date
    calls: tuple[tuple[str, dt.date], ...]
    unsaid: int
    weather_until: dt.datetime

    @classmethod
    def of(cls, record: Any) -> "Said":
        """The parts of a record; ValueError, KeyError or TypeError where it is none."""
        on = dt.date.fromisoformat(record["on"])
        calls = tuple(
            (str(c["zone"]), dt.date.fromisoformat(c["since"] or record["on"])) for c in record["calls"]
        )
        until = dt.datetime.fromisoformat(record["data"]["weather_until"])
        return cls(on, calls, len(record["cannot_say"]), until.replace(tzinfo=None))


def read_status(folder: Path, now: dt.datetime) -> CourseState:
    """The state of a course folder at `now` (UTC); what cannot be read is told in it, never raised."""
    try:
        course = read_course(folder)
    except Refused as fault:
        lines = tuple(map(str, fault.faults))
        more = (f"and {len(lines) - 1} more: winterrisk check {folder}",) if len(lines) > 1 else ()
        return CourseState(str(folder), "UTC", now, faults=(*lines[:1], *more), known=False)
    runs = [run for run in read_log(course.folder) if run.tonight]
    faults: list[str] = []
    night = _last_night(course, now, faults)
    by = scheduled_by(course)
    calls, since = _open_calls(course, night, faults)
    return CourseState(
        course.place.name,
        course.timezone,
        now,
        last_run=runs[-1] if runs else None,
        last_night=_worked(course, runs, night, now),
        open_calls=calls,
        unanswered_since=since,
        waiting=waiting_messages(course.folder),
        unsaid=night.unsaid if night else 0,
        zones=len(course.zone_labels()) if night else 0,
        weather_until=night.weather_until if night else None,
        scheduled_by=by,
        next_run=Calendar.of(course.id, course.timezone).next_run(now) if by else None,
        faults=tuple(faults),
        behind=backwards(runs, now),
    )


def _last_night(course: Course, now: dt.datetime, faults: list[str]) -> Said | None:
    """The record of the newest night that is not yet to come, as it was said last."""
    nights = course.folder / "nights"
    try:
        named = [p.name for p in nights.iterdir() if DATE.fullmatch(p.name)] if nights.is_dir() else []
    except OSError as fault:
        faults.append(f"{nights}: {fault.strerror}")
        return None
    today = now.replace(tzinfo=dt.UTC).astimezone(course.zoneinfo).date().isoformat()
    for date in sorted((name for name in named if name <= today), reverse=True):
        runs = written_nights(course.folder, date)
        if not runs:
            continue
        path = runs[-1] / "night.json"
        try:
            return Said.of(json.loads(capped_text(path)))
        except (OSError, ValueError, KeyError, TypeError, RecursionError) as fault:
            faults.append(
                f"{path}: cannot be read ({type(fault).__name__} {fault}); take it from a backup, or delete its folder"
            )
            return None
    return None


def _worked(course: Course, runs: list[Run], night: Said | None, now: dt.datetime) -> dt.datetime | None:
    """When the last night was worked: by the log, or by the date of the night where the log does not know."""
    times = [run.started for run in runs if run.exit in WORKED and run.started <= now]
    if night:
        four: dt.datetime = (
            night_instant(night.on, course.timezone).astype("datetime64[us]").astype(dt.datetime)
        )
        times += [four] if four <= now else []
    return max(times, default=None)


def _open_calls(course: Course, night: Said | None, faults: list[str]) -> tuple[int, dt.date | None]:
    """Calls of a night that nobody answered since, and the night that asked the oldest of them first."""
    if not night or not night.calls:
        return 0, None
    answered: set[str] = set()
    since = night_instant(night.on, course.timezone)
    try:
        with open_book(course.folder, create=False, course=course) as book:
            record = book.record()
        tables = {"time": record.observations, "cut": record.plugs, "date": record.surveys}
        answered = answered_since(tables, since, course.zone_labels())
    except Refused as fault:
        faults.append(str(fault.faults[0]))
    asked = [first for zone, first in night.calls if zone not in answered]
    return len(asked), min(asked, default=None)
