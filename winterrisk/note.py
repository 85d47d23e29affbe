"""A draft note to members or the board from what is known by a date."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import pandas as pd

from winterrisk import spring
from winterrisk.book import course_values, open_book
from winterrisk.course import night_instant, read_course
from winterrisk.nightly import Tell
from winterrisk.reports.note_board import board_note
from winterrisk.reports.note_facts import NoteFacts, note_facts
from winterrisk.reports.note_gate import words_of_loss
from winterrisk.reports.note_member import member_note
from winterrisk.reports.write_note import write_note
from winterrisk.thresholds import Thresholds

Reader = Literal["member", "board"]


@dataclass(frozen=True)
class Note:
    """A note as it now stands: its text, its files, which of them were left as somebody edited them, and words
    of loss in it that no plug or survey is behind."""

    text: str
    markdown: Path
    page: Path
    kept: tuple[Path, ...]
    unproved: tuple[str, ...]


def run(
    course_dir: Path | str, reader: Reader, on: dt.date | None = None, *, tell: Tell = lambda line: None
) -> Note:
    """Draft the note of a date (today when left out) to reports/notes/; an edited file is never written over.

    Raises:
        Refused: course file, weather or book cannot be used, or the folder cannot be written.
    """
    course = read_course(course_dir)
    day = on or pd.Timestamp.now(tz=course.timezone).date()
    facts = facts_of(course_dir, day)
    plan = None
    if reader == "board" or facts.evidence:
        plan = spring.run(course_dir, day, write=False, tell=tell).record
    draft = member_note(facts, plan) if reader == "member" or plan is None else board_note(facts, plan)
    markdown, page, text, kept = write_note(course.folder, f"{day}-{reader}", draft)
    unproved = () if facts.evidence else words_of_loss(text, facts.names)
    return Note(text, markdown, page, kept, unproved)


def facts_of(course_dir: Path | str, on: dt.date) -> NoteFacts:
    """The facts known by 04:00 of a date."""
    course = read_course(course_dir)
    with open_book(course.folder, create=False, course=course) as book:
        record = book.record(known_by=night_instant(on, course.timezone))
    values = course_values(course, Thresholds.read(course.folder).values)
    return note_facts(course, record, on, values)
