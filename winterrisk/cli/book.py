"""The parts of `winterrisk plug` that move whole tables: import, export, and the field sheet."""

import datetime as dt
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from winterrisk.science.faults import Fault, Refused, nearest

if TYPE_CHECKING:
    from winterrisk.book import Book, Typed
    from winterrisk.course import Course

BACKUP = ".sqlite"


def export_to(book: "Book", name: str) -> str:
    """Write the whole book to a folder of CSV, an .xlsx, or a backup .sqlite; what was written, in words."""
    from winterrisk.book import write_backup, write_export

    path = Path(name)
    if path.suffix.casefold() == BACKUP:
        return f"wrote the backup {write_backup(book, path)}"
    rows = write_export(book, path)
    told = ", ".join(f"{n} {table.replace('_', ' ')}" for table, n in rows.items() if n)
    return f"wrote {path}: {told or 'no rows yet'}"


def import_from(book: "Book", course: "Course", name: str, typed: "Typed") -> str:
    """Take in an export, tables or lines made by hand, or put back a backup; what came of it, in words."""
    from winterrisk.book import course_room, import_tables, restore_backup

    path = Path(name)
    if path.suffix.casefold() == BACKUP:
        kept = restore_backup(book, path)
        return f"put back {path}; the book as it was before is {kept}"
    done = import_tables(book, path, typed, course_room(course))
    return "\n".join([*done.said, f"from {path}: {done.words()}"])


def _last_night(folder: Path) -> dict[str, Any] | None:
    from winterrisk.reports.write_night import written_nights

    nights = folder / "nights"
    dates = sorted((p.name for p in nights.iterdir() if p.is_dir()), reverse=True) if nights.is_dir() else []
    for date in dates:
        runs = written_nights(folder, date)
        if runs:
            night: dict[str, Any] = json.loads((runs[-1] / "night.json").read_text(encoding="utf-8"))
            return night
    return None


def _zones(course: "Course", words: list[str]) -> list[str]:
    known = course.zone_labels()
    wanted = [name.strip() for name in " ".join(words).split(",") if name.strip()]
    for name in wanted:
        if name not in known:
            close = nearest(name, known)
            hint = f"did you mean {close}?" if close else "name zones with commas between: 4 low, 9 shade"
            raise Refused(Fault("plug sheet", repr(name), "a zone of course.toml", hint))
    return wanted


def sheet_for(course: "Course", words: list[str], day: dt.date) -> str:
    """Write the field sheet of a day as reports/field_sheet_DATE.pdf; what was written, in words."""
    from winterrisk.reports.field_sheet import field_sheet
    from winterrisk.reports.write_field_sheet import write_field_sheet

    sheet = field_sheet(course, day, _last_night(course.folder), _zones(course, words))
    path = write_field_sheet(sheet, course.folder / "reports" / f"field_sheet_{day}.pdf")
    return f"wrote {path}: {len(sheet.rows)} plugs with the control, {sheet.why}"
