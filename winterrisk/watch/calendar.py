"""When a course's nights run: the clock of each day, the months, and what clock changes do to it."""

import datetime as dt
import hashlib
from dataclasses import dataclass
from typing import Final
from zoneinfo import ZoneInfo

from winterrisk.course.calendar import NIGHT_HOUR

MONTHS: Final = (10, 11, 12, 1, 2, 3, 4, 5, 6)
"""Months in which nights run: October to see that all works, June for what comes back (judged)."""
IN_SEASON: Final = (11, 12, 1, 2, 3, 4, 5)
"""Months in which a course that says nothing is not well (judged)."""
LAST_HOUR: Final = 22
"""Last hour of a day at which a night that was missed or failed is tried again (judged)."""
EARLIEST, MINUTES = 3, 25
"""First minute after the hour, and how many: courses are spread over them, so that they do not ask free weather
services all at once (judged)."""
YEARS_AHEAD: Final = 10


@dataclass(frozen=True)
class Calendar:
    """Hour and minute of a course's first run each day, on a clock of a time zone."""

    hour: int
    minute: int
    timezone: str

    @classmethod
    def of(cls, course_id: str, timezone: str) -> "Calendar":
        """The calendar of a course: a few minutes after 04:00 of its own clock, always the same ones."""
        minute = EARLIEST + hashlib.sha256(course_id.encode()).digest()[0] % MINUTES
        return cls(NIGHT_HOUR, minute, timezone)

    def on_clock_of(self, machine: str, day: dt.date) -> "Calendar":
        """The same instant of a day on the clock of another time zone."""
        local = dt.datetime.combine(day, dt.time(self.hour, self.minute), ZoneInfo(self.timezone))
        there = local.astimezone(ZoneInfo(machine))
        return Calendar(there.hour, there.minute, machine)

    def next_run(self, now: dt.datetime) -> dt.datetime:
        """The first run of a day after `now` (UTC), in UTC."""
        zone = ZoneInfo(self.timezone)
        day = now.replace(tzinfo=dt.UTC).astimezone(zone).date()
        while True:
            run = dt.datetime.combine(day, dt.time(self.hour, self.minute), zone)
            then = run.astimezone(dt.UTC).replace(tzinfo=None)
            if then > now and day.month in MONTHS:
                return then
            day += dt.timedelta(days=1)

    def clock_changes(self, year: int) -> str:
        """What changes of the clock do to the first run, looked up for the years ahead."""
        skipped, doubled = set(), set()
        zone, day = ZoneInfo(self.timezone), dt.date(year, 1, 1)
        while day.year < year + YEARS_AHEAD:
            at = dt.datetime.combine(day, dt.time(self.hour, self.minute), zone)
            back = at.astimezone(dt.UTC).astimezone(zone)
            if back.replace(tzinfo=None) != at.replace(tzinfo=None):
                skipped.add(day)
            elif at.utcoffset() != at.replace(fold=1).utcoffset():
                doubled.add(day)
            day += dt.timedelta(days=1)
        clock = f"{self.hour:02d}:{self.minute:02d} in {self.timezone}"
        if not skipped and not doubled:
            return f"changes of the clock: {clock} comes once on every day, no change of the clock skips it"
        days = ", ".join(f"{d}" for d in sorted(skipped | doubled)[:2])
        return (
            f"changes of the clock: {clock} is skipped or comes twice on some days ({days}); the run of the next hour "
            "makes up for a skipped one, and a second one of the same night does nothing"
        )
