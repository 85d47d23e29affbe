"""All messages of a night: what is news, to whom, from when and until when."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np

from winterrisk.book import Record
from winterrisk.course import Course, day_start, winter_start
from winterrisk.course.sections import Person
from winterrisk.messages.contacts import first_contacts, second_contacts
from winterrisk.messages.digest import LATE, digest_words, is_due, worked_nights
from winterrisk.messages.message import Message
from winterrisk.messages.notices import key_of, notice_words, notices_now
from winterrisk.messages.quiet_hours import after_quiet
from winterrisk.messages.scoreboard import scoreboard
from winterrisk.messages.told import Told
from winterrisk.messages.unanswered import unanswered, unanswered_words
from winterrisk.messages.verdicts import verdict_words, verdicts_now
from winterrisk.messages.write_outbox import EXPIRED, Kept
from winterrisk.reports.alert import body, headline
from winterrisk.reports.news import news_of, said_of, taken_back
from winterrisk.reports.words import HEADLINE_LENGTH, day_in_words, joined, seven_bit, shortened

LASTS: Final = {
    "danger": 2, "missing": 2, "withdrawn": 3, "verdict": 7, "notice": 3, "digest": 6, "unanswered": 2,
    "undelivered": 7,
}  # fmt: skip
"""Days after which a message no longer goes (judged)."""
CALL_LASTS: Final = 3
"""Days after the last day of its calls for which an action message still goes: so long they stand."""

Night = Mapping[str, Any]


@dataclass(frozen=True)
class Wanted:
    """What a night's messages are made from.

    Attributes:
        kept: the outbox so far. now: UTC. worked: dates of the nights that are written.
        tonight: False for a night of another day that somebody wants sent: its calls alone are then told.
    """

    course: Course
    night: Night
    record: Record
    kept: Sequence[Kept]
    now: np.datetime64
    worked: Collection[str] = ()
    tonight: bool = True

    @property
    def on(self) -> dt.date:
        """Date of the night."""
        return dt.date.fromisoformat(self.night["on"])

    @cached_property
    def told(self) -> Told:
        """What was told so far."""
        return Told.of(self.kept, winter_start(self.night["winter"]).isoformat())

    def to(
        self, people: Sequence[Person], kind: str, words: tuple[str, str], about: Mapping[str, Any],
        days: int | None = None,
    ) -> list[Message]:  # fmt: skip
        """The same words to each of the people, held until their quiet hours are over."""
        length = LASTS[kind] if days is None else days
        ends = day_start(self.on + dt.timedelta(days=length + 1), self.course.timezone)
        expires = max(ends, self.now + np.timedelta64(1, "D"))
        return [
            Message(
                kind, self.night["on"], person.name, *words, about,
                after_quiet(self.now, person.quiet, self.course.timezone), expires,
            )
            for person in people
        ]  # fmt: skip


def wanted(source: Wanted) -> list[Message]:
    """The messages that a night asks for beside those the outbox has."""
    first = first_contacts(source.course, source.on)
    calls = _of_calls(source, first)
    if not source.tonight:
        return calls
    return [*calls, *_beside(source, first, calls), *to_second(source)]


def to_second(source: Wanted) -> list[Message]:
    """Messages to the second contacts about calls that nobody answered in time, once each.

    Who was told of that night before, as the stand-in was, is not asked.
    """
    found = []
    for person in second_contacts(source.course, source.on):
        row = unanswered(source.kept, source.record, source.now, person.answer_within)
        if row is not None and not _told_of(source.kept, person.name, row.night):
            found += source.to([person], "unanswered", unanswered_words(row), {"of": row.night})
    return found


def _told_of(kept: Sequence[Kept], name: str, night: str) -> bool:
    """Whether a person was told of the calls of a night, or asked about them."""
    mine = [row for row in kept if row.recipient == name]
    return any(
        row.about.get("of") == night if row.kind == "unanswered" else row.night == night for row in mine
    )


def _of_calls(source: Wanted, first: Sequence[Person]) -> list[Message]:
    """The one message a night has about its calls, dangers and zones without an answer; none without news."""
    night, last = source.night, source.told.last
    said = said_of(night)
    news = news_of(said, last)
    if last and last["on"] > said["on"]:
        return []
    if night["on"] in source.told.action_nights:
        news -= {"call", "back", "again"}
    if not news:
        return []
    kind = next(k for n, k in KIND_OF_NEWS.items() if n in news)
    days = None
    if kind == "action":
        last_day = max((dt.date.fromisoformat(c["by"]) for c in night["calls"]), default=source.on)
        days = max(0, (last_day - source.on).days) + CALL_LASTS
    about = {"said": said, "winter": night["winter"]}
    return source.to(first, kind, _words(night, news, taken_back(said, last)), about, days)


KIND_OF_NEWS: Final = {
    "call": "action", "danger": "danger", "missing": "missing", "back": "withdrawn", "again": "missing",
}  # fmt: skip
"""Kind of the message by what is news in it, the first that holds."""


def _words(night: Night, news: Collection[str], back: Sequence[tuple[str, str]]) -> tuple[str, str]:
    parts = []
    if "back" in news:
        verbs = {"look": "look at", "pull": "pull plugs of", "act": "act at", "cover_danger": "the cover at"}
        parts.append(f"NO LONGER NEEDED: {joined([f'{verbs[kind]} {zone}' for kind, zone in back])}.")
    if "again" in news:
        parts.append(f"DATA ARE BACK at {night['course']}.")
    if night["calls"] or night["cannot_say"] or "danger" in news or not parts:
        parts.append(headline(night))
    else:
        parts.append(f"As of {day_in_words(dt.date.fromisoformat(night['on']))}.")
    return shortened(seven_bit(" ".join(parts)), HEADLINE_LENGTH), body(night)


def _beside(source: Wanted, first: Sequence[Person], calls: Sequence[Message]) -> list[Message]:
    night, told, found = source.night, source.told, []
    if due := verdicts_now(night, told.verdicts):
        about = {"due": [[row["zone"], row["plug"]] for row in due]}
        found += source.to(first, "verdict", verdict_words(due, source.on), about)
    shown = calls[0].body if calls else ""
    if notices := notices_now(night, told, source.now, shown):
        about = {"notices": [list(key_of(notice)) for notice in notices]}
        found += source.to(first, "notice", notice_words(notices, source.on), about)
    if is_due(source.on, told.digests, source.course):
        scores = scoreboard(source.kept, source.record, night, source.now)
        week = source.now - np.timedelta64(LATE, "s")
        lost = {row.recipient for row in source.kept if row.state == EXPIRED and row.expires > week}
        actions = len(told.action_nights | {m.night for m in calls if m.kind == "action"})
        nights = worked_nights(source.worked, source.on, told.digests)
        words = digest_words(night, source.course, scores, nights, actions, lost)
        found += source.to(first, "digest", words, {})
    return found
