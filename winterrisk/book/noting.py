"""A typed line noted in the book; each function gives back the sentence that says what was understood."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from winterrisk.book.append import Book
from winterrisk.book.check_rows import checked
from winterrisk.book.grammar import noted
from winterrisk.book.line_reader import Noted
from winterrisk.book.reading_back import local_text, observation_words, survey_words
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault

NOON = dt.time(12)
LATE = np.timedelta64(2, "D")
"""A row told this much after its time is said to be late: earlier nights were worked without it (judged)."""


@dataclass(frozen=True)
class Typed:
    """The circumstances of a line: the clock, and what the person said of time and name.

    now, known: UTC. day, clock: local, where the person gave them beside the line. inches: bare numbers are.
    """

    now: np.datetime64
    timezone: str
    day: dt.date | None = None
    clock: dt.time | None = None
    who: str = ""
    known: np.datetime64 | None = None
    inches: bool = False

    @property
    def known_at(self) -> np.datetime64:
        """When the line counts as known (UTC)."""
        return self.now if self.known is None else self.known

    @property
    def today(self) -> dt.date:
        """Local day on which the line is typed."""
        return self._local_now.date()

    @property
    def _local_now(self) -> dt.datetime:
        utc = dt.datetime.fromisoformat(str(self.now)).replace(tzinfo=dt.UTC)
        return utc.astimezone(ZoneInfo(self.timezone))

    def utc(self, day: dt.date | None, clock: dt.time | None) -> np.datetime64:
        """UTC of a local day and hour; left out: as given beside the line, else now, else noon of the day."""
        chosen = day or self.day or self.today
        hour = clock or self.clock
        if hour is None:
            if chosen == self.today:
                return self.now
            hour = NOON
        local = dt.datetime.combine(chosen, hour, tzinfo=ZoneInfo(self.timezone))
        return np.datetime64(local.astimezone(dt.UTC).replace(tzinfo=None), "s")


def clean_row(table: str, values: Mapping[str, Any], typed: Typed, where: str) -> dict[str, Any]:
    """A row as the book would keep it, to read back.

    Raises:
        BookError: every fault of it.
    """
    c = checked(table, values, typed.known_at, where)
    if c.faults:
        raise BookError(c.faults)
    return c.row


def _said(line: str, book: Book, typed: Typed, table: str) -> Noted:
    if book.places is None:
        raise BookError(
            Fault("course.toml", "no course", "a course whose zones can be named", "write one first")
        )
    return noted(line, book.places, typed.day or typed.today, inches=typed.inches, table=table)


def note_observation(book: Book, line: str, typed: Typed, corrects: int | None = None) -> str:
    """Note what somebody saw or did; the sentence that says it back."""
    said = _said(line, book, typed, "observations")
    values = {**said.values, "time": typed.utc(said.day, said.clock), "who": typed.who}
    row = clean_row("observations", values, typed, repr(line))
    if corrects is None:
        id = book.add("observations", values, known=typed.known_at, where=repr(line))
        late = typed.known_at - values["time"] > LATE
        later = (
            f"; known from {local_text(typed.known_at, typed.timezone)[:10]}, nights before stay as they were"
        )
        return f"noted {id}: {observation_words(row, typed.timezone)}{later if late else ''}"
    book.correct("observations", corrects, known=typed.known_at, **values)
    return f"corrected {corrects}: {observation_words(row, typed.timezone)}"


def note_survey(book: Book, line: str, typed: Typed, corrects: int | None = None) -> str:
    """Note how much of a zone is dead in spring; the sentence that says it back."""
    said = _said(line, book, typed, "surveys")
    day = said.day or typed.day or typed.today
    values = {**said.values, "date": f"{day}T00:00", "who": typed.who}
    row = clean_row("surveys", values, typed, repr(line))
    if corrects is None:
        id = book.add("surveys", values, known=typed.known_at, where=repr(line))
        return f"noted {id}: {survey_words(row)}"
    book.correct("surveys", corrects, known=typed.known_at, winter="", **values)
    return f"corrected {corrects}: {survey_words(row)}"


def note_decision(book: Book, text: str, typed: Typed, reason: str, told: str, night: str) -> str:
    """Note a decision and its reason; the sentence that says it back."""
    values = {
        "time": typed.utc(None, None),
        "text": text,
        "reason": reason,
        "told": told,
        "night": night,
        "who": typed.who,
    }
    id = book.add("decisions", values, known=typed.known_at, where="decision")
    why = f", because {reason}" if reason else ""
    return f"noted {id}: {text}{why}{f'; told {told}' if told else ''}"
