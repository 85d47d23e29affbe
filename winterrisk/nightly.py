"""Tonight's call: the winter replayed from its weather and the book, the outlook, the plan, the words."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk import hazards, messages, reports, risk, sampling
from winterrisk.book import Record, course_values, events, open_book, refused_lines, take_inbox
from winterrisk.column.members import Members, members
from winterrisk.column.read_compiled import is_compiled
from winterrisk.column.unseen import with_unseen
from winterrisk.column.zones import zones_days
from winterrisk.course import Course, night_instant, read_course, replay_start, winter_end, winter_of
from winterrisk.plugs.said import plugs_said
from winterrisk.recovery.covers import covers_lying
from winterrisk.sampling.decision_days import cutting_days, decision_days, speaks_until
from winterrisk.science.faults import Fault, Refused
from winterrisk.thresholds import Draws, Thresholds
from winterrisk.watch.due import backwards, missed_nights
from winterrisk.watch.logged import RunLog, logged
from winterrisk.watch.read_log import read_log
from winterrisk.watch.write_lock import course_lock
from winterrisk.weather.course_weather import CourseWeather
from winterrisk.weather.get_course_weather import receive_course_weather
from winterrisk.weather.get_night_forecast import SLACK, read_night_forecast, receive_forecast, speaks_at
from winterrisk.weather.night import NightWeather, night_weather
from winterrisk.weather.read_course_weather import read_course_weather

__all__ = ["Night", "Settings", "Work", "judged", "members", "run"]

CANNOT_SAY, UNDELIVERED, DONE = 3, 4, 0
Tell = Callable[[str], None]


class NoWinter(Refused):
    """A day on which no winter is under way: there is nothing to work, and nothing is wrong."""


@dataclass(frozen=True)
class Settings:
    """How many possible winters and thresholds a night works with, and which zones (all when left out)."""

    n_ground: int = 5
    n_paths: int = 8
    n_draws: int = 200
    zones: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Work:
    """What a night needs, read once; refused: lines of phone notes that were not understood since yesterday."""

    course: Course
    thresholds: Thresholds
    record: Record
    weather: CourseWeather
    settings: Settings = field(default_factory=Settings)
    refused: tuple[str, ...] = ()

    @property
    def zones(self) -> tuple[str, ...]:
        """Labels of the zones worked."""
        return self.settings.zones or self.course.zone_labels()

    def chance_draws(self, winter: str) -> Draws:
        """Threshold draws (draw), keyed by course and winter."""
        return self.thresholds.draw(self.settings.n_draws, (self.course.id, winter), "chance")


@dataclass(frozen=True)
class Night:
    """A night worked out: the record, the words, and what they were worked from."""

    record: dict[str, Any]
    alert: str
    outlook: xr.Dataset
    winter_days: xr.Dataset
    harm: xr.Dataset
    folder: Path | None = None
    exit_code: int = DONE

    @property
    def summary(self) -> str:
        """One line for a log."""
        count = {kind: sum(c["kind"] == kind for c in self.record["calls"]) for kind in ("look", "pull")}
        unsaid = (
            f", cannot say for {len(self.record['cannot_say'])} zones" if self.record["cannot_say"] else ""
        )
        where = f", written to {self.folder}" if self.folder else ""
        return f"{self.record['on']}: {count['look']} looks, {count['pull']} pulls{unsaid}{where}"


def run(
    course_dir: Path | str,
    on: dt.date | None = None,
    send: bool = True,
    hindsight: bool = False,
    *,
    settings: Settings | None = None,
    tell: Tell = lambda line: None,
    clock: np.datetime64 | None = None,
    allow_local: bool = False,
) -> Night:
    """Work the night `on` (today when left out) of a course folder, write it, and send what is new.

    On the night of the day itself phone notes are taken in first.

    Args:
        clock: UTC; the machine's when left out. allow_local: messages may also go unencrypted, or to hosts of the
            own network.
    Raises:
        NoWinter: a day in July or 1 August. Refused: course file, thresholds, weather or book cannot be used;
            nothing was written.
    """
    course = read_course(course_dir)
    reports.refuse_unwritable(course.folder)
    clock = _now() if clock is None else clock
    today = pd.Timestamp(clock).tz_localize("UTC").tz_convert(course.timezone).date()
    day = on or today
    refuse_summer(day)
    fresh = day == today and not hindsight
    started = clock.astype("datetime64[s]").astype(dt.datetime)
    late = backwards(read_log(course.folder), started) if fresh else ""
    with logged(course.folder, RunLog(started, version("winterrisk"), day, fresh), tell) as log:
        post = partial(
            _undelivered, course, clock=clock, tell=tell, tonight=day == today, allow_local=allow_local
        )
        night = _worked(
            course, day, clock, fresh, hindsight, settings or Settings(), post if send else None, tell, log
        )
        if late:
            tell(late)
            night = replace(night, exit_code=night.exit_code or CANNOT_SAY)
        log.told(night.record, night.exit_code)
    return night


def _worked(
    course: Course,
    day: dt.date,
    clock: np.datetime64,
    fresh: bool,
    hindsight: bool,
    chosen: Settings,
    post: Callable[[Night], bool] | None,
    tell: Tell,
    log: RunLog,
) -> Night:
    """The steps of a night, one after the other."""
    now = night_instant(day, course.timezone)
    thresholds = Thresholds.read(course.folder)
    unreceived = (*receive_course_weather(course, clock), *receive_forecast(course, clock)) if fresh else ()
    received = read_course_weather(course)
    log.done("weather")
    weather = possible_winters(
        received, course, day, chosen, known=not hindsight,
        forecast=read_night_forecast(course, day, clock if fresh else None), clock=clock if fresh else None,
    )  # fmt: skip
    for line in dict.fromkeys((*unreceived, *weather.missed)):
        tell(line)
    log.done("winters")
    with course_lock(course.folder, tell):
        with open_book(course.folder, course=course) as book:
            if fresh:
                take_inbox(course.folder, book, course, min(now, clock))
            record = book.record(known_by=None if hindsight else now)
            refused = tuple(map(str, refused_lines(book, now - np.timedelta64(1, "D"), now)))
        log.done("book")
        work = Work(course, thresholds, record, received, chosen, refused)
        log.row["compiling"] = not is_compiled()
        if log.row["compiling"]:
            tell("compiling, once")
        several = members(weather.paths, chosen.n_ground, (course.id, winter_of(day)), thresholds)
        days, _ = zones_days(weather.paths, course, zone_events(work, now), several, zones=work.zones)
        log.done("column")
        before = reports.previous_night(course.folder, day.isoformat())
        if fresh and (missed := missed_nights(before, day, winter_of(day))):
            log.row["missed"] = missed
            tell(
                f"{missed} nights before this one were not worked; what they would have asked is asked tonight"
            )
        night = judged(work, day, weather, several, days, hindsight=hindsight, before=before)
        log.done("judged")
        files = reports.night_files(night.record, night.alert, beside(work, night, weather, day))
        used = _used(work, night, weather, before)
        folder, _ = reports.write_night(course.folder, day.isoformat(), files, used)
        log.done("written")
        undelivered = post is not None and post(night)
        log.done("sent")
    unsaid = CANNOT_SAY if night.record["cannot_say"] else DONE
    return replace(night, folder=folder, exit_code=UNDELIVERED if undelivered else unsaid)


def _undelivered(
    course: Course, night: Night, *, clock: np.datetime64, tell: Tell, tonight: bool, allow_local: bool
) -> bool:
    """Whether a message of the night, or one of an earlier night, could not be delivered."""
    with open_book(course.folder, course=course) as book:
        record = book.record(known_by=clock)
    worked = reports.night_dates(course.folder)
    try:
        post = messages.send_messages(
            course, night.record, record, clock, tell,
            worked=worked, tonight=tonight, allow_local=allow_local,
        )  # fmt: skip
    except messages.OutboxError as fault:
        tell(f"no message was sent: {fault}")
        return True
    return post.undelivered


def send_waiting(
    course_dir: Path | str,
    *,
    tell: Tell = lambda line: None,
    clock: np.datetime64 | None = None,
    allow_local: bool = False,
) -> messages.Post:
    """Send what waits in the outbox of a course folder, and ask the second contact where nobody answered.

    Phone notes are taken in first: one may be the answer.

    Args:
        clock: UTC; the machine's when left out. allow_local: as for `run`.
    Raises:
        Refused: course file, book or outbox cannot be used.
    """
    course = read_course(course_dir)
    clock = _now() if clock is None else clock
    if not messages.has_outbox(course.folder):
        return messages.Post()
    with course_lock(course.folder, tell):
        with open_book(course.folder, course=course) as book:
            take_inbox(course.folder, book, course, clock)
            record = book.record(known_by=clock)
        return messages.send_waiting(course, record, clock, tell, allow_local=allow_local)


def _now() -> np.datetime64:
    return np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")


def possible_winters(
    received: CourseWeather,
    course: Course,
    on: dt.date,
    settings: Settings,
    *,
    known: bool = True,
    forecast: xr.Dataset | None = None,
    clock: np.datetime64 | None = None,
) -> NightWeather:
    """Weather of the night `on`, with the past winters that may follow it up to the last decision day.

    It is what was received by the time the night has to speak, of hours that could be known at 04:00.

    Args:
        clock: UTC, of a night worked on its own day; what was received by then counts where that is later.

    Raises:
        Refused: no winter is under way, or the record has nothing for this night.
    """
    refuse_summer(on)
    horizon = decision_days(course, on)[-1]
    speaks = speaks_at(course, on) + SLACK
    return night_weather(
        received, course, on, horizon, n_paths=settings.n_paths, known=known, forecast=forecast,
        received_by=speaks if clock is None else max(speaks, np.datetime64(clock)),
    )  # fmt: skip


def refuse_summer(on: dt.date) -> None:
    """Nothing, on a night of a winter.

    Raises:
        NoWinter: a day in July or 1 August.
    """
    begins, ends = replay_start(winter_of(on)), winter_end(winter_of(on))
    if on <= begins:
        found = f"a day in summer: the winter is replayed from {begins:%Y-%m-%d}"
        expected = f"a night from {begins + dt.timedelta(days=1):%Y-%m-%d} to {ends:%Y-%m-%d}"
        move = "choose another date with --on, or wait until then"
        raise NoWinter(Fault(f"night {on}", found, expected, move))


def zone_events(work: Work, now: np.datetime64) -> dict[str, Any]:
    """What people saw and did before `now`, for each zone."""
    return {zone: events(work.record, zone, now, owned=work.course.covers.kind) for zone in work.zones}


def judged(
    work: Work,
    on: dt.date,
    weather: NightWeather,
    several: Members,
    winter_days: xr.Dataset,
    *,
    hindsight: bool = False,
    before: dict[str, Any] | None = None,
) -> Night:
    """The night from its winter days on: harm, evidence, outlook, plan, record and words."""
    course, record = work.course, work.record
    if weather.blind:
        winter_days, several = with_unseen(
            winter_days, several, days=weather.unseen_days, coldest=weather.coldest
        )
    harm = hazards.run(winter_days, course.turf().sel(zone=list(work.zones)), several.traits)
    draws = work.chance_draws(winter_of(on))
    now = night_instant(on, course.timezone)
    values = course_values(course, work.thresholds.values)
    known = risk.known(
        harm, draws, record.plugs, record.looks, record.surveys, batches=record.batches,
        share=course.turf()["share"], base=several.weight, on=None if hindsight else now, used=work.thresholds.used,
        values=values,
    )  # fmt: skip
    since = np.datetime64(replay_start(winter_of(on)))
    said = plugs_said(record.plugs, record.looks, record.batches, now, since, values)
    tonight, last = np.datetime64(on, "D") - 1, winter_days["day"].to_numpy().astype("datetime64[D]")[-1]
    ahead = [np.datetime64(d, "D") for d in (*decision_days(course, on), *cutting_days(on))]
    wanted = sorted({tonight, *said.cut.values(), *(d for d in ahead if d <= last)})
    until = min(np.datetime64(speaks_until(course, on), "D"), last)
    outlook = risk.outlook(harm, winter_days, course, draws, known, said.cut, days=sorted({*wanted, until}))
    stakes = sampling.Stakes.of(course.money)
    until_day = until.astype(dt.date)
    answered = _answered(record, before, course.timezone, work.zones)
    plan = sampling.plan(
        outlook, course, record, stakes, weather.paths, on, until=until_day, growing=said.growing,
        restraint=_restraint(before, on), answered=answered,
    )  # fmt: skip
    zones = reports.zone_records(outlook, {v.label: v.area for v in course.zones()}, tonight, until)
    seen = zone_events(work, now)
    lying = covers_lying(seen, winter_days, now, course.timezone, work.thresholds.values, several.weight)
    pulled = {call.zone for call in plan.calls if call.kind == "pull"}
    covers = reports.cover_notices(lying, course, weather.paths, on, work.thresholds.values, pulled)
    notices = reports.night_notices(
        on=np.datetime64(on, "D"), now=now, winter_days=winter_days, harm=harm,
        events=seen, before=before, values=values, units=course.place.units, refused=work.refused,
        weather=(*weather.missed, *weather.lately()["words"]), covers=covers,
    )  # fmt: skip
    night = reports.night_record(
        course=course.place.name, on=on, winter=winter_of(on), version=version("winterrisk"), hindsight=hindsight,
        plan=plan, cannot_say=[{"zone": z, "why": weather.blind} for z in work.zones if weather.blind],
        verdicts_due=said.due, data=reports.data_record(weather, until_day, zones, course.timezone),
        notices=notices, before=before, answered=answered,
    )  # fmt: skip
    return Night(night, reports.alert_text(night), outlook, winter_days, harm)


def beside(work: Work, night: Night, weather: NightWeather, on: dt.date) -> reports.Beside:
    """What the page shows beside the record: the days of each zone, what past nights said, what was seen."""
    course = work.course
    until = dt.date.fromisoformat(night.record["data"]["until_day"])
    return reports.Beside(
        course.place.units,
        course.place.invented,
        reports.zone_strips(
            night.winter_days, night.harm, night.outlook, weather.paths["air_temperature"],
            course.turf()["share"], on, until, course.timezone,
        ),
        reports.read_said(course.folder, on),
        reports.seen_lately(work.record, course, on, night_instant(on, course.timezone), work.thresholds.values),
        reports.todays_work(night.record, course),
    )  # fmt: skip


def _restraint(before: dict[str, Any] | None, on: dt.date) -> sampling.Restraint:
    """What the night before left, of the same winter."""
    if before is None or before["winter"] != winter_of(on):
        return sampling.Restraint()
    return sampling.Restraint.of_record(before["data"].get("restraint"))


def _answered(
    record: Record, before: dict[str, Any] | None, timezone: str, zones: tuple[str, ...]
) -> set[str]:
    """Zones of which something was noted since the night before, of whatever day, and those cut or surveyed since."""
    if before is None:
        return set()
    since = night_instant(dt.date.fromisoformat(before["on"]), timezone)
    tables = {"known": record.observations, "cut": record.plugs, "date": record.surveys}
    return sampling.answered_since(tables, since, zones)


def _used(work: Work, night: Night, weather: NightWeather, before: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "version": night.record["version"],
        "thresholds": work.thresholds.version,
        "weather_sha256": weather.digest,
        "book_sha256": work.record.hash(),
        "course_sha256": work.course.hash(),
        "before": {
            "on": before["on"],
            "calls": [[c["kind"], c["zone"]] for c in before["calls"]],
            "restraint": before["data"].get("restraint"),
        }
        if before
        else None,
        "hindsight": night.record["hindsight"],
        "refused": list(work.refused),
        "n_ground": work.settings.n_ground,
        "n_paths": work.settings.n_paths,
        "n_draws": work.settings.n_draws,
        "zones": list(work.zones),
    }
