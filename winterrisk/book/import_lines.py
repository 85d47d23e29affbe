"""A spreadsheet of typed lines: each noted as if typed, all of them or none, each once."""

import datetime as dt
from collections import Counter
from dataclasses import replace

from winterrisk.book.append import Book
from winterrisk.book.inbox import TakenLine, remember
from winterrisk.book.noting import Typed
from winterrisk.book.noting_line import note_line
from winterrisk.book.noting_plugs import Room
from winterrisk.book.read_sheets import Sheet
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault, nearest

LINE_COLUMN = "line"
COLUMNS = (LINE_COLUMN, "day", "time", "who")
REMEMBERED_AS = "sheet "


def _day(text: str, where: str) -> dt.date | None:
    if not text:
        return None
    try:
        return dt.datetime.fromisoformat(text).date()
    except ValueError:
        expected = "a day such as 2025-01-14; other orders can be read two ways"
        raise BookError(Fault(f"{where}, day", repr(text), expected, "correct the line")) from None


def _clock(text: str, where: str) -> dt.time | None:
    if not text:
        return None
    try:
        hour, _, rest = text.rpartition("T")[2].partition(":")
        return dt.time(int(hour), int(rest[:2] or 0))
    except ValueError:
        expected = "an hour such as 7:30"
        raise BookError(Fault(f"{where}, time", repr(text), expected, "correct the line")) from None


def lines_noted(book: Book, sheet: Sheet, typed: Typed, room: Room) -> tuple[list[str], int]:
    """Note the lines of a sheet inside the open transaction: what was said back, and how many were there.

    Raises:
        BookError: every fault with the line of the sheet it stands on.
    """
    wrong = [name for name in sheet.columns if name not in COLUMNS]
    if wrong:
        close = nearest(wrong[0], COLUMNS)
        move = f"did you mean {close}?" if close else "take it out"
        raise BookError(Fault(sheet.where, f"column {wrong[0]!r}", "one of " + ", ".join(COLUMNS), move))
    note = REMEMBERED_AS + sheet.name
    said: list[str] = []
    faults: list[Fault] = []
    with book.writing() as connection:
        sql = "SELECT line, day FROM inbox_lines WHERE note = ?"
        left, there = Counter(connection.execute(sql, (note,)).fetchall()), 0
        content = str(connection.execute("SELECT count(*) FROM inbox_lines").fetchone()[0])
        for number, cells in sheet.lines:
            where = f"{sheet.where} line {number}"
            values = {
                "day": "",
                "time": "",
                "who": "",
                **dict(zip(sheet.columns, map(str.strip, cells), strict=True)),
            }
            key = (
                " ".join(values[LINE_COLUMN].casefold().split()),
                f"{values['day']} {values['time']}".strip(),
            )
            if left[key] > 0:
                left[key] -= 1
                there += 1
                continue
            try:
                day, clock = _day(values["day"], where), _clock(values["time"], where)
                beside = replace(typed, day=day, clock=clock, who=values["who"] or typed.who)
                with book.writing():
                    told = note_line(book, values[LINE_COLUMN], beside, room)
            except BookError as refused:
                faults += [
                    f if f.where.startswith(where) else replace(f, where=f"{where}, {f.where}")
                    for f in refused.faults
                ]
                continue
            said.append(told)
            done = TakenLine(sheet.where, number, values[LINE_COLUMN], told)
            remember(connection, note, content, done, key, typed.known_at)
        if faults:
            raise BookError(faults)
    return said, there
