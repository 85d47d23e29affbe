"""The whole book written to plain files: a folder of CSV, or one spreadsheet; nothing is left out."""

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from winterrisk.book.all_rows import TABLES, columns_of, rows_of
from winterrisk.book.append import Book
from winterrisk.book.cells import cell_of
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault

LONGEST_CELL = 32_000
"""Characters a spreadsheet keeps in one cell, with a margin."""
SPREADSHEET_MISSING = Fault(
    "openpyxl", "not installed", "it, to read or write .xlsx", "pip install 'winterrisk[xlsx]', or use CSV"
)

Tables = dict[str, tuple[tuple[str, ...], list[tuple[Any, ...]]]]


def all_tables(book: Book) -> Tables:
    """Column names and rows of every table, all of one moment."""
    with book.reading() as connection:
        return {name: (columns_of(connection, name).names, rows_of(connection, name)) for name in TABLES}


def _csv(names: tuple[str, ...], rows: list[tuple[Any, ...]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([cell_of(value) for value in row] for row in rows)
    return text.getvalue()


def _write_whole(path: Path, content: bytes) -> None:
    staging = path.with_name(f".{path.name}.writing")
    staging.write_bytes(content)
    staging.replace(path)


def write_export(book: Book, target: Path | str) -> Mapping[str, int]:
    """Write every row of the book to a folder of CSV files or to one .xlsx; rows by table.

    Cells that look like formulas get an apostrophe before them; reading the export back takes it off.

    Raises:
        BookError: no library for .xlsx; a place that cannot be written.
    """
    path, tables = Path(target), all_tables(book)
    try:
        if path.suffix.casefold() == ".xlsx":
            _write_whole(path, _xlsx(tables))
        elif path.suffix and not path.is_dir():
            found, expected = (
                f"a file ending in {path.suffix}",
                "a folder, a file .xlsx, or .sqlite for a backup",
            )
            raise BookError(Fault(str(path), found, expected, "name one of these"))
        else:
            path.mkdir(parents=True, exist_ok=True)
            for name, (columns, rows) in tables.items():
                _write_whole(path / f"{name}.csv", _csv(columns, rows).encode())
    except OSError as fault:
        found = f"a place that cannot be written ({fault.strerror})"
        raise BookError(Fault(str(path), found, "a writable folder", "name another")) from fault
    return {name: len(rows) for name, (_, rows) in tables.items()}


def _xlsx(tables: Tables) -> bytes:
    try:
        from openpyxl import Workbook
        from openpyxl.cell import WriteOnlyCell
    except ImportError as missing:
        raise BookError(SPREADSHEET_MISSING) from missing
    workbook = Workbook(write_only=True)
    for name, (columns, rows) in tables.items():
        sheet = workbook.create_sheet(name)
        sheet.append(columns)
        for number, row in enumerate(rows, start=2):
            cells = []
            for column, value in zip(columns, row, strict=True):
                written = cell_of(value)
                if isinstance(written, str):
                    if len(written) > LONGEST_CELL:
                        found = f"{len(written)} characters"
                        expected, move = f"up to {LONGEST_CELL} in a cell", "export to a folder of CSV files"
                        raise BookError(Fault(f"{name} line {number}, {column}", found, expected, move))
                    cell = WriteOnlyCell(sheet, value=written)
                    cell.data_type = "s"
                    cells.append(cell)
                else:
                    cells.append(written)
            sheet.append(cells)
    content = io.BytesIO()
    workbook.save(content)
    return content.getvalue()
