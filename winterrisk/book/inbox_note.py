"""A note from the inbox, before anything is understood: its text, its lines, the day and name they stand under."""

import datetime as dt
import re
from dataclasses import dataclass

from winterrisk.book.grammar import FIRST_WORDS
from winterrisk.book.line_dates import MONTHS, take_day
from winterrisk.book.line_reader import KIND_PHRASES
from winterrisk.book.line_tokens import find, tokens_of
from winterrisk.book.line_words import FILLERS
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault

BIGGEST, MOST_LINES = 256 * 1024, 2000
"""Bytes and lines of a note; no phone note of a winter is longer."""
DAY_NOT_UNDERSTOOD = "the day it stands under was not understood; write it as 2025-01-14 or 14 jan"
HEADING_EXPECTED = "expected a zone and what was seen there, or a day alone, such as 14 jan; its lines wait"
_BULLET = re.compile(r"^(?:[-*•·–—]|\[[ xX]?\])\s+")
_BY = re.compile(r"^(?:by|who)\b[:\s]+(?P<who>[^\W\d][^\d]{0,40})$", re.IGNORECASE)
_COPY = re.compile(
    r"\s*\([^()]*conflict[^()]*\)|\.sync-conflict-[\w-]+|[-_. ]conflict(?:ed)?(?:[-_. ]?copy)?[-_\w]*"
    r"|\s*\(\d{1,3}\)",
    re.IGNORECASE,
)
_DAY_IN_NAME = re.compile(r"(?<!\d)(\d{4}-\d{2}-\d{2})(?!\d)")
_OF_DAYS = frozenset({"date", "slashes", "clock", "number"})


@dataclass(frozen=True)
class NoteLine:
    """One line of a note.

    day, who: as said above it or in the file's name; None and "" where they were not. counted: True where the
    day was counted back from the note's saving ("yesterday"). fault: why it cannot be read at all.
    """

    number: int
    text: str
    day: dt.date | None = None
    who: str = ""
    fault: str = ""
    counted: bool = False

    @property
    def key(self) -> tuple[str, str]:
        """What makes it the same line as one taken before: its words and the day it stands under."""
        return " ".join(self.text.casefold().split()), "" if self.day is None else self.day.isoformat()


def note_name(file_name: str) -> str:
    """Name of a note without its ending and without what a synced folder adds to a second copy of it."""
    stem = file_name.rpartition(".")[0] or file_name
    return _COPY.sub("", stem).strip().casefold() or stem.casefold()


def text_of(content: bytes, where: str) -> str:
    """The text of a note: UTF-8, UTF-16 with its mark, else Windows' western letters.

    Raises:
        BookError: too big, or bytes that are no text.
    """
    move = "nothing of it was noted; save it as plain text and put it back into inbox"
    if len(content) > BIGGEST:
        expected = f"up to {BIGGEST // 1024} kB"
        raise BookError(Fault(where, f"a note of {len(content) // 1024} kB", expected, move))
    wide = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = content.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        text = "\x00" if wide else content.decode("cp1252", errors="replace")
    if "\x00" in text or text.count("\ufffd") > 0:
        raise BookError(Fault(where, "bytes that are no text", "a note in plain text", move))
    return text


def names_a_day(words: str) -> bool:
    """Whether words name a day of the calendar, not one counted back from today."""
    return any(t.kind == "date" or t.raw in MONTHS for t in tokens_of(words))


def _heading(words: str, today: dt.date) -> tuple[dt.date | None, bool]:
    """The day a line is a heading of, and whether it looks like a heading that is not understood."""
    tokens = tokens_of(words)
    day = take_day(tokens, today)
    rest = [t for t in tokens if not t.used and t.raw not in FILLERS]
    if not rest:
        return day, day is None
    if all(t.kind in _OF_DAYS or t.raw in MONTHS for t in rest):
        return None, True
    speaks = tokens[0].raw in FIRST_WORDS or any(
        find(tokens, phrase) is not None for phrase, _ in KIND_PHRASES
    )
    return None, day is not None and not speaks and not any(t.kind != "word" for t in rest)


def lines_of(text: str, file_name: str, saved: dt.date, where: str) -> tuple[NoteLine, ...]:
    """Lines of a note in order; blank ones and remarks (#) are left out.

    A line of only a day holds for the lines under it, as does "by NAME"; a day in the file's name holds for
    all. A day that is not understood spoils the lines under it, up to the next.

    Args:
        saved: local day on which the note was last saved; "yesterday" counts from there.
    Raises:
        BookError: more lines than a note has.
    """
    named = _DAY_IN_NAME.search(_COPY.sub("", file_name))
    day: dt.date | None = None
    if named:
        try:
            day = dt.date.fromisoformat(named[1])
        except ValueError:
            day = None
    who, spoilt, counted = "", "", False
    raw = re.split(r"\r\n|\r|\n|\x0b|\x0c|\x85|\u2028|\u2029", text)
    if len(raw) > MOST_LINES:
        move = "nothing of it was noted; cut it in parts"
        raise BookError(Fault(where, f"a note of {len(raw)} lines", f"up to {MOST_LINES}", move))
    found = []
    for number, line in enumerate(raw, start=1):
        words = _BULLET.sub("", line.strip())
        if words.startswith(("#", "//")) or not re.search(r"\w", words):
            continue
        by = _BY.match(words)
        if by:
            who = by["who"].strip()
            continue
        alone, unclear = _heading(words, saved)
        if alone is not None:
            day, spoilt, counted = alone, "", not names_a_day(words)
            continue
        if unclear:
            spoilt = DAY_NOT_UNDERSTOOD
            found.append(NoteLine(number, words, None, who, f"found {words!r}, {HEADING_EXPECTED}"))
            continue
        found.append(NoteLine(number, words, day, who, spoilt, counted))
    return tuple(found)
