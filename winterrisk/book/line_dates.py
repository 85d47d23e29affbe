"""Days and hours in a line: "14 jan", "2025-01-14", "yesterday", "friday", "new year", "7:30"."""

import datetime as dt
import re
from itertools import pairwise
from typing import Final

from winterrisk.book.line_tokens import Token, take

MONTHS: Final = {
    name: number
    for number, names in enumerate(
        (
            "jan january", "feb february", "mar march", "apr april", "may", "jun june", "jul july",
            "aug august", "sep sept september", "oct october", "nov november", "dec december",
        ),
        start=1,
    )
    for name in names.split()
}  # fmt: skip
WEEKDAYS: Final = {
    name: number
    for number, names in enumerate(
        (
            "mon monday", "tue tues tuesday", "wed wednesday", "thu thur thurs thursday", "fri friday",
            "saturday", "sunday",
        )
    )
    for name in names.split()
}  # fmt: skip
ORDINAL: Final = re.compile(r"(\d{1,2})(?:st|nd|rd|th)")
NAMED_DAYS: Final = {
    ("new", "year's", "eve"): (12, 31),
    ("new", "years", "eve"): (12, 31),
    ("boxing", "day"): (12, 26),
    ("new", "year"): (1, 1),
    ("new", "year's"): (1, 1),
    ("christmas",): (12, 25),
    ("new", "years"): (1, 1),
}


def latest(month: int, day: int, today: dt.date) -> dt.date | None:
    """The last such day up to today; None where there is no such day."""
    for year in (today.year, today.year - 1, today.year - 2, today.year - 3, today.year - 4):
        try:
            found = dt.date(year, month, day)
        except ValueError:
            continue
        if found <= today:
            return found
    return None


def take_day(tokens: list[Token], today: dt.date) -> dt.date | None:
    """The day a line names; its words are then used. None where it names none."""
    for token in tokens:
        if token.used or token.kind != "date":
            continue
        try:
            day = dt.date(*(int(part) for part in token.raw.split("-")))
        except ValueError:
            return None
        token.used = True
        _take_weekday(tokens, day)
        return day
    for words, back in (
        (("yesterday",), 1),
        (("today",), 0),
        (("this", "morning"), 0),
        (("last", "night"), 1),
    ):
        if take(tokens, words):
            return today - dt.timedelta(days=back)
    for words, (month, number) in NAMED_DAYS.items():
        if take(tokens, words):
            return latest(month, number, today)
    for here, there in pairwise(tokens):
        if here.used or there.used:
            continue
        for name, number in ((here, there), (there, here)):
            counted = _day_of_month(number)
            if name.raw in MONTHS and counted is not None:
                day = latest(MONTHS[name.raw], counted, today)
                if day is not None:
                    here.used = there.used = True
                    _take_weekday(tokens, day)
                    return day
    for token in tokens:
        if token.raw in WEEKDAYS and not token.used:
            token.used = True
            back = (today.weekday() - WEEKDAYS[token.raw]) % 7
            return today - dt.timedelta(days=7 if take(tokens, ("last",)) and back == 0 else back)
    return None


def _day_of_month(token: Token) -> int | None:
    """14, or 14th."""
    if token.kind == "number" and not token.unit and token.value.is_integer():
        return int(token.value)
    ordinal = ORDINAL.fullmatch(token.raw)
    return int(ordinal[1]) if ordinal else None


def _take_weekday(tokens: list[Token], day: dt.date) -> None:
    """The name of the weekday beside a date is understood where it is the right one."""
    for token in tokens:
        if not token.used and WEEKDAYS.get(token.raw) == day.weekday():
            token.used = True


def take_clock(tokens: list[Token]) -> dt.time | None:
    """The hour a line names; None where it names none or one that is no hour."""
    for token in tokens:
        if token.used or token.kind != "clock":
            continue
        text = token.raw.replace(" ", "")
        try:
            if text.endswith(("am", "pm")):
                hour = int(text[:-2])
                if not 1 <= hour <= 12:
                    return None
                clock = dt.time(hour % 12 + (12 if text.endswith("pm") else 0))
            else:
                hour, minute = (int(part) for part in text.split(":"))
                clock = dt.time(hour, minute)
        except ValueError:
            return None
        token.used = True
        return clock
    return None
