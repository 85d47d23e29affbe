"""One whole line of the grammar noted, whatever it speaks of: the way of the inbox and of spreadsheets."""

import re
from collections.abc import Mapping
from typing import Any

from winterrisk.book.append import Book
from winterrisk.book.grammar import FIRST_WORDS, noted
from winterrisk.book.noting import Typed, note_decision, note_observation, note_survey
from winterrisk.book.noting_plugs import Room, note_look, note_plug
from winterrisk.book.refusal import BookError
from winterrisk.plugs import values_in_room
from winterrisk.science.faults import Fault
from winterrisk.thresholds import Thresholds

ACK = "ack"
"""First word of a line that answers a message; what stands after it is kept as it is."""
_FIRST_WORD = re.compile(r"^\W*\w+[\s:,;.]*")


def course_room(course: Any) -> Room:
    """Where the plugs of a course stand, as far as its file says: what it leaves open stays open."""

    def said(name: str) -> float | None:
        return getattr(course.plug_room, name) if course.says(f"plug_room.{name}") else None

    return Room(course.plug_room.kind, said("temperature"), said("light_hours"), said("light_mol"))


def course_values(course: Any, values: Mapping[str, float] | None = None) -> dict[str, float]:
    """Threshold values [by key] by which the plugs of a course are judged: its plug room in place of the usual."""
    room = course_room(course)
    known = Thresholds.defaults().values if values is None else values
    return values_in_room(known, room.room, course.plug_room.temperature, room.light_hours, room.light_mol)


def note_line(book: Book, line: str, typed: Typed, room: Room) -> str:
    """Note one line ("4 low ice 2cm", "plug 4 low A2", "look P3 growth 60", "survey ...", "ack"); what was understood.

    Raises:
        BookError: the line was not understood or cannot be right; nothing was noted.
    """
    if book.places is None:
        move = "write one first"
        raise BookError(Fault("course.toml", "no course", "a course whose zones can be named", move))
    if _first_word(line) == ACK:
        return note_decision(book, " ".join(line.split()), typed, "", "", "")
    said = noted(line, book.places, typed.day or typed.today, inches=typed.inches)
    rest = _FIRST_WORD.sub("", line, count=1)
    if said.table == "plugs":
        return note_plug(book, rest, typed, room)
    if said.table == "looks":
        return note_look(book, rest if _first_word(line) in FIRST_WORDS else line, typed, {})
    if said.table == "surveys":
        return note_survey(book, rest, typed)
    return note_observation(book, line, typed)


def _first_word(line: str) -> str:
    return re.sub(r"\W", "", (line.split() or [""])[0]).casefold()
