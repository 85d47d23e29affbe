"""The spring ahead: damage known by a date, options and days zone by zone, and why it happened there."""

import datetime as dt
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk import hazards, risk
from winterrisk.book import Record, course_values, events, open_book
from winterrisk.column.members import Members, members
from winterrisk.column.read_compiled import is_compiled
from winterrisk.column.unseen import with_unseen
from winterrisk.column.zones import zones_days
from winterrisk.course import Course, night_instant, read_course, replay_start, winter_end, winter_of
from winterrisk.nightly import Tell
from winterrisk.plugs.said import PlugsSaid, plugs_said
from winterrisk.recovery import Plan, recovery_plan, zone_damages
from winterrisk.reports.recovery_page import recovery_page
from winterrisk.reports.recovery_record import recovery_record
from winterrisk.reports.season_damage import zone_survey
from winterrisk.reports.write_night import as_json
from winterrisk.reports.write_report import write_report
from winterrisk.sampling.decision_days import SPRING
from winterrisk.science.faults import Fault, Refused
from winterrisk.thresholds import Draws, Thresholds
from winterrisk.weather.night import NightWeather, night_weather
from winterrisk.weather.read_course_weather import read_course_weather

N_GROUND: Final = 3
MOST_SPRINGS: Final = 12
"""Draws of the ground, and past springs at the most (judged: days spread by spring, not by ground)."""


@dataclass(frozen=True)
class Replayed:
    """A winter up to a date and on through past springs, with everything the evidence says of it.

    weather: of the night; several: members; days: winter_days (day, zone, member); outlook: of tonight and of
    `until`; weight (zone, member, draw); draws: of the chances; said: of the plugs; seen: zone -> events.
    """

    course: Course
    thresholds: Thresholds
    record: Record
    weather: NightWeather
    several: Members
    days: xr.Dataset
    outlook: xr.Dataset
    weight: xr.DataArray
    draws: Draws
    said: PlugsSaid
    seen: dict[str, pd.DataFrame]
    on: dt.date
    until: dt.date


@dataclass(frozen=True)
class Spring:
    """A spring told: the plan, its record, the page, and the folder they were written to."""

    plan: Plan
    record: dict[str, Any]
    page: str
    folder: Path | None


def run(
    course_dir: Path | str,
    on: dt.date | None = None,
    *,
    why: bool = False,
    clear_on: dt.date | None = None,
    write: bool = True,
    tell: Tell = lambda line: None,
) -> Spring:
    """What to do about dead turf, known by 04:00 on a date (today when left out), written to reports/.

    Args:
        why: also replay the hurt zones with one thing changed. clear_on: day of the clearing among these.
        write: False to work it only.
    Raises:
        Refused: course file, weather or book cannot be used, or the date lies outside a winter.
    """
    replayed = replay(course_dir, on, tell=tell)
    first = replay_start(winter_of(replayed.on))
    if clear_on is not None and not first <= clear_on < replayed.on:
        expected = f"a day of that winter before {replayed.on}, from {first} on"
        raise Refused(
            Fault("--clear-on", str(clear_on), expected, "name the day on which clearing was thought of")
        )
    plan = plan_of(replayed)
    reasons = _why_there(replayed, plan, clear_on) if why else ()
    record = recovery_record(
        replayed.course, plan, reasons, version=version("winterrisk"), weather_until=replayed.weather.until,
        ahead=replayed.weather.ahead, cannot_say=replayed.weather.blind,
    )  # fmt: skip
    page = recovery_page(record)
    folder = None
    if write:
        files = {"recovery.html": page, "recovery.json": as_json(record)}
        folder = write_report(replayed.course.folder, f"recovery-{plan.on}", files)
    return Spring(plan, record, page, folder)


def replay(course_dir: Path | str, on: dt.date | None = None, *, tell: Tell = lambda line: None) -> Replayed:
    """The winter up to a date, on through each past spring of the record.

    Raises:
        Refused: as `run`.
    """
    course = read_course(course_dir)
    thresholds = Thresholds.read(course.folder)
    day = on or pd.Timestamp.now(tz=course.timezone).date()
    winter = winter_of(day)
    if not replay_start(winter) < day <= winter_end(winter) - dt.timedelta(days=1):
        move = "choose another date with --on; a plan for July is made in June"
        expected = f"a date from 2 August to 29 June, as {winter_end(winter) - dt.timedelta(days=1)}"
        raise Refused(Fault("--on", str(day), expected, move))
    received = read_course_weather(course)
    first, last = (pd.Timestamp(end).year for end in received.span)
    springs = int(np.clip(last - first, 1, MOST_SPRINGS))
    horizon = winter_end(winter) - dt.timedelta(days=1)
    weather = night_weather(received, course, day, horizon, n_paths=springs)
    if not any(weather.paths["past_winter"].to_numpy()):
        move = "bring older years of the station into its file, or name a source in [station]"
        raise Refused(Fault(received.station, "no earlier spring", "one to tell the days of repair by", move))
    if not is_compiled():
        tell("compiling, once")
    now = night_instant(day, course.timezone)
    with open_book(course.folder, create=False, course=course) as book:
        record = book.record(known_by=now)
    zones = course.zone_labels()
    seen = {zone: events(record, zone, now, owned=course.covers.kind) for zone in zones}
    several = members(weather.paths, N_GROUND, (course.id, winter), thresholds)
    days, _ = zones_days(weather.paths, course, seen, several)
    if weather.blind:
        days, several = with_unseen(days, several, days=weather.unseen_days, coldest=weather.coldest)
    harm = hazards.run(days, course.turf(), several.traits)
    draws = thresholds.draw(200, (course.id, winter), "chance")
    values = course_values(course, thresholds.values)
    known = risk.known(
        harm, draws, record.plugs, record.looks, record.surveys[record.surveys["winter"] == winter],
        batches=record.batches, share=course.turf()["share"], base=several.weight, on=now, used=thresholds.used,
        values=values,
    )  # fmt: skip
    said = plugs_said(
        record.plugs, record.looks, record.batches, now, np.datetime64(replay_start(winter)), values
    )
    tonight = day - dt.timedelta(days=1)
    until = max(tonight, dt.date(winter_end(winter).year, *SPRING))
    wanted = sorted({np.datetime64(tonight, "D"), np.datetime64(until, "D")})
    outlook = risk.outlook(harm, days, course, draws, known, said.cut, days=wanted)
    return Replayed(
        course, thresholds, record, weather, several, days, outlook, known.weights, draws, said, seen, day, until
    )  # fmt: skip


def plan_of(replayed: Replayed) -> Plan:
    """The plan of a replayed winter."""
    course, winter = replayed.course, winter_of(replayed.on)
    surveyed = {
        view.label: found
        for view in course.zones()
        if (found := zone_survey(replayed.record.surveys, view, winter)) is not None
    }
    tonight = replayed.on - dt.timedelta(days=1)
    damages = zone_damages(course, replayed.outlook, surveyed, replayed.said.cut, tonight, replayed.until)
    rows = replayed.thresholds.draw(replayed.several.count, (course.id, winter), "recovery")
    followed = {str(name).split(" ")[0] for name in replayed.weather.paths["past_winter"].to_numpy()} - {""}
    return recovery_plan(
        course, damages, replayed.days["soil_temperature_5cm_mean"], replayed.several.weight, replayed.on, rows,
        springs=len(followed),
    )  # fmt: skip


def _why_there(replayed: Replayed, plan: Plan, clear_on: dt.date | None) -> tuple[Any, ...]:
    from winterrisk.recovery.why_there import why_there

    return why_there(
        replayed.course, replayed.weather.paths, replayed.seen, replayed.several, replayed.weight, replayed.draws,
        zones=tuple(z.damage.zone for z in plan.zones), on=replayed.on, clear_on=clear_on,
    )  # fmt: skip
