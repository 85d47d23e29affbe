"""The time options of the commands that write in the book; the clock is read here."""

import datetime as dt
from typing import TYPE_CHECKING

from winterrisk.science.faults import Fault, Refused

if TYPE_CHECKING:
    from winterrisk.book import Typed
    from winterrisk.course import Course


def _day_and_hour(text: str, option: str) -> tuple[dt.date | None, dt.time | None]:
    if not text.strip():
        return None, None
    day, _, hour = text.strip().replace("T", " ").partition(" ")
    try:
        return dt.date.fromisoformat(day), dt.time.fromisoformat(hour.strip()) if hour.strip() else None
    except ValueError:
        move = "write year-month-day, and the hour after a space"
        raise Refused(
            Fault(option, repr(text), "a day such as 2025-01-14 or 2025-01-14 09:00", move)
        ) from None


def _hour(text: str) -> dt.time | None:
    if not text.strip():
        return None
    try:
        hour, _, minute = text.strip().partition(":")
        return dt.time(int(hour), int(minute or 0))
    except ValueError:
        raise Refused(Fault("--at", repr(text), "an hour such as 7:30", "write hour:minute")) from None


def typed_at(course: "Course", *, on: str = "", at: str = "", who: str = "", known: str = "") -> "Typed":
    """The circumstances of a command: now, and what its options say of day, hour, name and when it was told.

    Raises:
        Refused: a day or hour that is none, or that is still to come.
    """
    import numpy as np

    from winterrisk.book import Typed

    now = np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")
    base = Typed(now, course.timezone)
    day, clock = _day_and_hour(on, "--on")
    told_day, told_clock = _day_and_hour(known, "--known")
    told = None if told_day is None else base.utc(told_day, told_clock)
    if told is not None and told > now:
        raise Refused(Fault("--known", known, "a time up to now", "leave it out for now"))
    return Typed(now, course.timezone, day, _hour(at) or clock, who, told, course.place.units == "us")
