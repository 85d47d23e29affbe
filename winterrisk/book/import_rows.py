"""Tables handed in taken into the book: all of them or none, rows it holds already left alone."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from winterrisk.book.all_rows import TABLES, Columns, columns_of, rows_of
from winterrisk.book.append import Book
from winterrisk.book.check_rows import checked, moment
from winterrisk.book.import_export import Restored, restored
from winterrisk.book.import_lines import LINE_COLUMN, lines_noted
from winterrisk.book.noting import Typed
from winterrisk.book.noting_plugs import Room
from winterrisk.book.read_csv import MUST, known_of
from winterrisk.book.read_csv import TABLES as HAND_MADE
from winterrisk.book.read_sheets import Sheet, read_csv_sheet, read_xlsx_sheets
from winterrisk.book.refusal import BookError, told
from winterrisk.book.schema import COLUMNS
from winterrisk.science.faults import Fault, nearest


@dataclass
class Imported:
    """Rows taken in and rows the book held already, by table; what lines of the grammar said back."""

    new: Counter[str] = field(default_factory=Counter)
    there: Counter[str] = field(default_factory=Counter)
    said: list[str] = field(default_factory=list)

    def words(self) -> str:
        """ "observations: 12 new, 3 there already"."""
        names = [t for t in (*TABLES, LINE_COLUMN) if self.new[t] or self.there[t]]
        parts = [f"{name}: {self.new[name]} new, {self.there[name]} there already" for name in names]
        return "; ".join(parts) or "nothing in it"


def sheets_of(source: Path) -> list[Sheet]:
    """The tables of a CSV file, a spreadsheet, or a folder of CSV files.

    Raises:
        BookError: every fault of every file.
    """
    if not source.exists():
        raise BookError(
            Fault(str(source), "no such file", "a CSV file, a folder of them, or .xlsx", "check the name")
        )
    if source.is_dir():
        sheets: list[Sheet] = []
        faults: list[Fault] = []
        for path in sorted(source.glob("*.csv")):
            try:
                sheets.append(read_csv_sheet(path))
            except BookError as refused:
                faults.extend(refused.faults)
        if faults:
            raise BookError(faults)
        if not sheets:
            raise BookError(
                Fault(str(source), "no CSV file in it", "the tables of an export", "check the name")
            )
        return sheets
    if source.suffix.casefold() in (".xlsx", ".xlsm"):
        return read_xlsx_sheets(source)
    return [read_csv_sheet(source)]


def import_tables(book: Book, source: Path | str, typed: Typed, room: Room) -> Imported:
    """Take in an export (all of it, corrections too) or tables made by hand; what came of it.

    A table is known by the name of its file or sheet; a column `line` (beside day, time, who) holds lines of
    the grammar. Rows the book holds already are left alone, so that the same file twice changes nothing.

    Raises:
        BookError: every fault with file and line; then nothing at all was taken in.
    """
    sheets = sheets_of(Path(source))
    by_name = {
        sheet.name: sheet for sheet in sheets if LINE_COLUMN not in sheet.columns or sheet.name in TABLES
    }
    faults = [fault for sheet in by_name.values() for fault in _shape_faults(sheet)]
    if faults:
        raise BookError(faults)
    done = Imported()
    with book.writing() as connection:
        full = Restored()
        for table in TABLES:
            if table not in by_name:
                continue
            sheet, columns = by_name[table], columns_of(connection, table)
            before = rows_of(connection, table)
            try:
                if _is_export(sheet, columns):
                    new, there = restored(connection, table, sheet, columns, before, full)
                else:
                    new, there = _taken(book, table, sheet, columns, before)
                done.new[table] += new
                done.there[table] += there
            except BookError as refused:
                faults.extend(refused.faults)
        for sheet in sheets:
            if sheet.name not in by_name and not faults:
                try:
                    said, there = lines_noted(book, sheet, typed, room)
                    done.said += said
                    done.new[LINE_COLUMN] += len(said)
                    done.there[LINE_COLUMN] += there
                except BookError as refused:
                    faults.extend(refused.faults)
        if faults:
            raise BookError(told(faults))
    return done


def _is_export(sheet: Sheet, columns: Columns) -> bool:
    return set(sheet.columns) == set(columns.names)


def _shape_faults(sheet: Sheet) -> list[Fault]:
    if sheet.name not in TABLES:
        close = nearest(sheet.name, TABLES)
        move = f"did you mean {close}?" if close else "name it after its table"
        expected = f"{', '.join(TABLES)}, or a column {LINE_COLUMN!r}"
        return [Fault(sheet.where, f"a table {sheet.name!r}", expected, move)]
    if sheet.name not in HAND_MADE:
        return []
    known = {*COLUMNS[sheet.name], "corrects", "withdrawn"}
    faults = []
    for name in sheet.columns:
        if name not in known:
            close = nearest(name, COLUMNS[sheet.name])
            move = f"did you mean {close}?" if close else "see the tables in docs"
            expected = "one of " + ", ".join(COLUMNS[sheet.name])
            faults.append(Fault(sheet.where, f"column {name!r}", expected, move))
    must = [
        n for n in MUST[sheet.name] if n not in sheet.columns and not (sheet.name == "plugs" and n == "id")
    ]
    faults += [Fault(sheet.where, f"no column {n!r}", "it is needed", "add it") for n in must]
    some = {"corrects", "withdrawn"} & set(sheet.columns)
    if some and len(some) < 2:
        faults.append(Fault(sheet.where, "half of an export", "corrects and withdrawn", "export it again"))
    return faults


def _content(row: Mapping[str, Any], names: Iterable[str]) -> tuple[Any, ...]:
    return tuple(row.get(name) for name in names)


def _taken(
    book: Book, table: str, sheet: Sheet, columns: Columns, before: list[tuple[Any, ...]]
) -> tuple[int, int]:
    """Rows made by hand appended; how many are new, how many the book holds already."""
    if table not in HAND_MADE or {"corrects", "withdrawn"} & set(sheet.columns):
        expected = "all columns of an export: " + ", ".join(columns.names)
        raise BookError(Fault(sheet.where, "some columns of an export", expected, "export it again"))
    compared = [
        n for n in columns.names if n not in ("corrects", "withdrawn") and (n != "id" or n in sheet.columns)
    ]
    held = Counter(_content(dict(zip(columns.names, row, strict=True)), compared) for row in before)
    faults: list[Fault] = []
    lines, there = [], 0
    for number, cells in sheet.lines:
        where = f"{sheet.where} line {number}"
        given: dict[str, Any] = dict(zip(sheet.columns, (cell.strip() for cell in cells), strict=True))
        told = given.pop("known", "")
        if told and moment(told) is None:
            expected = "a time such as 2025-01-14T09:00"
            faults.append(Fault(f"{where}, known", repr(told), expected, "correct the line"))
            continue
        known = known_of({**given, "known": told}, table)
        c = checked(table, given, known, where, None)
        if c.row.get("batch") == "":
            c.row["batch"] = None
        if not c.faults and held[_content(c.row, compared)] > 0:
            held[_content(c.row, compared)] -= 1
            there += 1
            continue
        lines.append((given, known, where))
    faults += book.append_lines(table, lines)[1]
    if faults:
        raise BookError(faults)
    return len(lines), there
