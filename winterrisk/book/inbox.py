"""Phone notes: `inbox/*.txt` taken line by line into the book, each line once, each refusal answered."""

import contextlib
import datetime as dt
import hashlib
import sqlite3
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from winterrisk.book.append import Book
from winterrisk.book.inbox_files import Note, keep_refused, move_away, notes_of, put_aside
from winterrisk.book.inbox_note import NoteLine, lines_of, names_a_day, note_name, text_of
from winterrisk.book.noting import Typed
from winterrisk.book.noting_line import course_room, note_line
from winterrisk.book.reading_back import local_text
from winterrisk.book.refusal import BookError

STALE = np.timedelta64(60, "D")
"""A note saved longer ago than this must name its days (judged)."""
CLOCK_SLIP = np.timedelta64(1, "D")
"""A note saved later than this after now comes from a wrong clock and counts as saved now (judged)."""
NOTHING_NEW = 0
"""Number of the remembered line that says a note without anything new was answered."""


@dataclass(frozen=True)
class TakenLine:
    """One line of a note: what the book understood, or why it was refused.

    heading: the day and name it stood under, kept beside a refused line so that a correction keeps them.
    """

    file: str
    number: int
    line: str
    said: str = ""
    refused: str = ""
    heading: str = ""

    def __str__(self) -> str:
        where = f"inbox/{self.file}" + (f" line {self.number}" if self.number else "")
        return f"{where}: {self.said or self.refused}"


@dataclass(frozen=True)
class Taken:
    """What came of the inbox: lines noted, and lines refused with the reason. Each is told once."""

    noted: tuple[TakenLine, ...] = ()
    refused: tuple[TakenLine, ...] = ()


@dataclass
class _Found:
    noted: list[TakenLine] = field(default_factory=list)
    refused: list[TakenLine] = field(default_factory=list)

    def add(self, lines: list[TakenLine]) -> None:
        self.noted += [line for line in lines if not line.refused]
        self.refused += [line for line in lines if line.refused]


def take_inbox(folder: Path | str, book: Book, course: Any, now: np.datetime64) -> Taken:
    """Take every note of `inbox/*.txt` into the book; what was noted and what was refused.

    A note is moved to `inbox/taken/` once all its lines are handled; refused lines stay with their reason in
    `inbox/refused/`. The rows of a note and the memory that it was taken are one transaction, so that a stop
    at any moment neither loses nor doubles a line. A note that comes back longer gives its new lines only.

    Args:
        folder: the course folder. course: its `Course`.
        now [UTC]: when the lines count as known; a note saved later counts from its saving.
    """
    found = _Found()
    for path in notes_of(Path(folder) / "inbox"):
        _take(path, book, course, np.datetime64(now, "s"), found)
    return Taken(tuple(found.noted), tuple(found.refused))


def refused_lines(book: Book, since: np.datetime64, until: np.datetime64) -> tuple[TakenLine, ...]:
    """Lines of notes refused after `since` and up to `until` (UTC): the same whenever a night is worked again."""
    sql = (
        "SELECT file, number, line, said, refused, heading FROM inbox_lines "
        "WHERE refused <> '' AND note NOT LIKE 'sheet %' AND known > ? AND known <= ? ORDER BY id"
    )
    limits = [str(np.datetime64(time, "s")) for time in (since, until)]
    return tuple(TakenLine(*row) for row in book.connection.execute(sql, limits))


def _take(path: Path, book: Book, course: Any, now: np.datetime64, found: _Found) -> None:
    try:
        note = Note.read(path)
    except OSError:
        return
    saved = now if note.saved > now + CLOCK_SLIP else note.saved
    where = f"inbox/{path.name}"
    try:
        clock = now if now - saved > STALE else saved
        today = dt.date.fromisoformat(local_text(clock, course.timezone)[:10])
        lines = lines_of(text_of(note.content, where), path.name, today, where)
    except BookError as refused:
        put_aside(note)
        found.add([TakenLine(path.name, 0, "", refused=str(refused).removeprefix(f"{where}: "))])
        return
    digest = hashlib.sha256(note.content).hexdigest()
    with book.writing() as connection:
        before = _remembered(connection, note_name(path.name), digest)
        told = before or _noted_now(connection, book, course, path.name, digest, lines, saved, now)
    with contextlib.suppress(OSError):
        keep_refused(
            path, [(line.number, line.refused, f"{line.heading}{line.line}") for line in told if line.refused]
        )
    if not (before and note.taken_before()):
        found.add([line for line in told if line.said or line.refused])
    move_away(note)


def _remembered(connection: sqlite3.Connection, note: str, digest: str) -> list[TakenLine]:
    sql = (
        "SELECT file, number, line, said, refused, heading FROM inbox_lines "
        "WHERE note = ? AND content = ? ORDER BY id"
    )
    return [TakenLine(*row) for row in connection.execute(sql, (note, digest))]


def _noted_now(
    connection: sqlite3.Connection,
    book: Book,
    course: Any,
    file: str,
    digest: str,
    lines: tuple[NoteLine, ...],
    saved: np.datetime64,
    now: np.datetime64,
) -> list[TakenLine]:
    """Note the lines that are new, inside the open transaction, and remember them."""
    note, known = note_name(file), max(now, saved)
    sql = "SELECT line, day, known FROM inbox_lines WHERE note = ? AND number > 0"
    earlier = connection.execute(sql, (note,)).fetchall()
    left = Counter((line, day) for line, day, _ in earlier)
    told = []
    for line in lines:
        if left[line.key] > 0:
            left[line.key] -= 1
            continue
        done = _line_noted(book, course, file, line, saved, known)
        told.append(done)
        remember(connection, note, digest, done, line.key, known)
    if not told:
        again = _nothing_new(file, lines, earlier, saved, course.timezone)
        remember(connection, note, digest, again, ("", ""), known)
        told.append(again)
    return told


def _line_noted(
    book: Book, course: Any, file: str, line: NoteLine, saved: np.datetime64, known: np.datetime64
) -> TakenLine:
    stale = known - saved > STALE
    clock = known if stale else saved
    typed = Typed(clock, course.timezone, line.day, None, line.who, known, course.place.units == "us")
    fault, day = line.fault, line.day or typed.today
    dated = names_a_day(line.text) or (line.day is not None and not line.counted)
    if not fault and stale and not dated:
        fault = (
            f"no day, in a note saved on {local_text(saved, course.timezone)[:10]}; write its day beside it"
        )
    if not fault:
        try:
            with book.writing():
                said = note_line(book, line.text, typed, course_room(course))
            return TakenLine(file, line.number, line.text, said=said.replace("\n", "; "))
        except BookError as refused:
            fault = "; ".join(str(f) for f in refused.faults)
            by = f"by {line.who}\n" if line.who else ""
            return TakenLine(file, line.number, line.text, refused=fault, heading=f"{day}\n{by}")
    return TakenLine(file, line.number, line.text, refused=fault)


def _nothing_new(
    file: str,
    lines: tuple[NoteLine, ...],
    earlier: list[tuple[str, str, str]],
    saved: np.datetime64,
    timezone: str,
) -> TakenLine:
    """Lines that were taken before, on an earlier day: perhaps the same again, perhaps seen anew."""
    last = max((np.datetime64(known) for *_, known in earlier), default=saved)
    newer = local_text(saved, timezone)[:10] > local_text(last, timezone)[:10]
    if not newer or all(line.day is not None for line in lines):
        return TakenLine(file, NOTHING_NEW, "")
    day = local_text(last, timezone)[:10]
    reason = f"nothing new: its lines were taken on {day}; if they hold again, write the day beside them"
    return TakenLine(file, NOTHING_NEW, "", refused=reason)


def remember(
    connection: sqlite3.Connection,
    note: str,
    digest: str,
    done: TakenLine,
    key: tuple[str, str],
    known: np.datetime64,
) -> None:
    """Remember a line of a note as handled, inside the open transaction."""
    row = (note, done.file, digest, done.number, *key, done.said, done.refused, done.heading, str(known))
    sql = (
        "INSERT INTO inbox_lines (note, file, content, number, line, day, said, refused, heading, known) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
    )
    connection.execute(sql, row)
