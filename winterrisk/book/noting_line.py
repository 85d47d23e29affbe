"""One whole line of the grammar noted, whatever it speaks of: the way of the inbox and of spreadsheets."""

import re
from typing import Any

from winterrisk.book.append import Book
from winterrisk.book.grammar import FIRST_WORDS, noted
from winterrisk.book.noting import Typed, note_observation, note_survey
from winterrisk.book.noting_plugs import Room, note_look, note_plug
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault

_FIRST_WORD = re.compile(r"^\W*\w+[\s:,;.]*")


def course_room(course: Any) -> Room:
    """Where the plugs of a course stand, as far as its file says; light is left to the kind of room."""
    place = course.plug_room

    def said(name: str) -> float | None:
        return getattr(place, name) if course.says(f"plug_room.{name}") else None

    return Room(place.kind, place.temperature, said("light_hours"), said("light_mol"))


def note_line(book: Book, line: str, typed: Typed, room: Room) -> str:
    """Note one line ("4 low ice 2cm", "plug 4 low A2", "look P3 growth 60", "survey ..."); what was understood.

    Raises:
        BookError: the line was not understood or cannot be right; nothing was noted.
    """
    if book.places is None:
        move = "write one first"
        raise BookError(Fault("course.toml", "no course", "a course whose zones can be named", move))
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
