"""Tables people hand in, as CSV or a spreadsheet: text cells with the line each stands on, nothing guessed."""

import csv
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from winterrisk.book.cells import value_of
from winterrisk.book.refusal import BookError
from winterrisk.book.write_export import SPREADSHEET_MISSING
from winterrisk.science.faults import Fault

MOST_ROWS, MOST_COLUMNS = 200_000, 60
BIGGEST_FILE, BIGGEST_UNPACKED, MOST_PARTS = 40 * 2**20, 400 * 2**20, 200
"""Bytes of a file, bytes of a spreadsheet unpacked, and files inside it; more is no book of one course."""
_CHUNK, _OVERLAP = 2**20, 256
_MERGED = re.compile(rb'<(?:\w+:)?mergeCell\s+ref="([A-Z0-9:]{1,24})"')
_ENTITIES = (b"<!DOCTYPE", b"<!ENTITY", "<!DOCTYPE".encode("utf-16-le"), "<!DOCTYPE".encode("utf-16-be"))
_OPEN_QUOTE = "a lone quote, or plain text that is no CSV"


@dataclass(frozen=True)
class Sheet:
    """One table: its name, where it stands, column names, and lines of (number, cells)."""

    name: str
    where: str
    columns: tuple[str, ...]
    lines: list[tuple[int, tuple[str, ...]]]


def _too_big(where: str, found: str, expected: str) -> BookError:
    return BookError(Fault(where, found, expected, "hand in one course's tables only; nothing was read"))


def _size_allowed(path: Path, where: str) -> None:
    size = path.stat().st_size
    if size > BIGGEST_FILE:
        raise _too_big(where, f"a file of {size // 2**20} MB", f"up to {BIGGEST_FILE // 2**20} MB")


def _sheet(name: str, where: str, rows: Iterator[tuple[int, list[str]]]) -> Sheet | None:
    columns: tuple[str, ...] = ()
    lines: list[tuple[int, tuple[str, ...]]] = []
    faults: list[Fault] = []
    for number, cells in rows:
        if number > MOST_ROWS:
            raise _too_big(where, f"more than {MOST_ROWS} lines", f"up to {MOST_ROWS}")
        if not any(cell.strip() for cell in cells) or (not columns and cells[0].lstrip().startswith("#")):
            continue
        if not columns:
            columns = tuple(cell.strip().casefold() for cell in cells)
            while columns and not columns[-1]:
                columns = columns[:-1]
            continue
        extra = [cell for cell in cells[len(columns) :] if cell.strip()]
        if extra or len(cells) < len(columns):
            found = f"{len(cells) - len(extra) + len(extra)} values"
            move = "look for a missing or spare comma"
            faults.append(Fault(f"{where} line {number}", found, f"{len(columns)}, one a column", move))
            continue
        lines.append((number, tuple(cells[: len(columns)])))
    if faults:
        raise BookError(faults)
    if not columns:
        return None
    doubled = {c for c in columns if columns.count(c) > 1}
    if doubled or "" in columns:
        found = f"columns named twice: {', '.join(sorted(doubled))}" if doubled else "a column without a name"
        raise BookError(Fault(where, found, "each column once, each with its name", "correct the header"))
    return Sheet(name, where, columns, lines)


def read_csv_sheet(path: Path, where: str = "") -> Sheet:
    """The table of a CSV file: UTF-8 with or without a mark, or UTF-16; commas, semicolons or tabs.

    Raises:
        BookError: too big, no text, no table, lines of another length; every fault by line.
    """
    where = where or path.name
    _size_allowed(path, where)
    content = path.read_bytes()
    wide = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = content.decode("utf-16" if wide else "utf-8-sig")
        if "\x00" in text:
            raise ValueError("zero bytes")
    except ValueError as fault:
        expected, move = "a UTF-8 CSV file", "save it as CSV UTF-8"
        raise BookError(Fault(where, "bytes that are no text", expected, move)) from fault
    first = text.lstrip().partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)

    def rows() -> Iterator[tuple[int, list[str]]]:
        start = 1
        for cells in reader:
            yield start, [value_of(cell) for cell in cells] or [""]
            start = reader.line_num + 1

    try:
        sheet = _sheet(path.stem.casefold(), where, rows())
    except csv.Error as fault:
        at = f"{where} line {reader.line_num}"
        raise BookError(
            Fault(at, f"{_OPEN_QUOTE} ({fault})", "plain CSV", "look for a lone quote")
        ) from fault
    if sheet is None:
        raise BookError(
            Fault(where, "an empty file", "a header line of column names", "fill it or leave it out")
        )
    return sheet


def _look_inside(path: Path, where: str) -> dict[str, list[str]]:
    """Merged cells of each part of a spreadsheet, which is first looked through without unpacking it whole.

    Raises:
        BookError: no spreadsheet, one that unpacks to too much, or one with entities.
    """
    merged: dict[str, list[str]] = {}
    try:
        with zipfile.ZipFile(path) as parts:
            inside = parts.infolist()
            unpacked = sum(part.file_size for part in inside)
            if len(inside) > MOST_PARTS or unpacked > BIGGEST_UNPACKED:
                found = f"a spreadsheet of {len(inside)} parts that unpacks to {unpacked // 2**20} MB"
                expected = f"up to {MOST_PARTS} parts and {BIGGEST_UNPACKED // 2**20} MB"
                raise _too_big(where, found, expected)
            for part in inside:
                if not part.filename.endswith((".xml", ".rels")):
                    continue
                before = b""
                with parts.open(part) as stream:
                    while chunk := stream.read(_CHUNK):
                        window = before + chunk
                        if any(mark in window for mark in _ENTITIES):
                            raise _too_big(where, "a spreadsheet with definitions of its own", "plain cells")
                        found_here = [ref.decode() for ref in _MERGED.findall(window)]
                        merged.setdefault(part.filename, []).extend(found_here)
                        before = window[-_OVERLAP:]
    except (
        zipfile.BadZipFile,
        zlib.error,
        OSError,
        EOFError,
        NotImplementedError,
        RuntimeError,
        ValueError,
    ) as fault:
        if isinstance(fault, BookError):
            raise
        expected, move = "a spreadsheet .xlsx", "save it anew as .xlsx, or as CSV UTF-8"
        raise BookError(Fault(where, f"a file that is no spreadsheet ({fault})", expected, move)) from fault
    return {part: list(dict.fromkeys(refs)) for part, refs in merged.items() if refs}


def read_xlsx_sheets(path: Path) -> list[Sheet]:
    """The tables of a spreadsheet, one a sheet; empty sheets are left out.

    Raises:
        BookError: no library, no spreadsheet, too big, merged cells, formulas; every fault by sheet and line.
    """
    where = path.name
    _size_allowed(path, where)
    merged = _look_inside(path, where)
    try:
        from openpyxl import load_workbook
    except ImportError as missing:
        raise BookError(SPREADSHEET_MISSING) from missing
    try:
        workbook = load_workbook(path, read_only=True, data_only=False, keep_links=False)
    except Exception as fault:
        expected, move = "a spreadsheet .xlsx", "save it anew as .xlsx, or as CSV UTF-8"
        found = f"a file that is no spreadsheet ({type(fault).__name__})"
        raise BookError(Fault(where, found, expected, move)) from fault
    sheets, faults = [], []
    try:
        for sheet in workbook.worksheets:
            here = f"{where} sheet {sheet.title}"
            refs = merged.get(str(getattr(sheet, "_worksheet_path", "")).lstrip("/"), [])
            if refs:
                move = "unmerge them and fill every cell"
                faults.append(Fault(here, f"merged cells {', '.join(refs[:3])}", "one value a cell", move))
                continue
            try:
                found = _sheet(sheet.title.casefold(), here, _sheet_rows(sheet, here, faults))
            except BookError as refused:
                faults.extend(refused.faults)
                continue
            except Exception as fault:
                move = "save it anew as .xlsx, or as CSV UTF-8"
                faults.append(
                    Fault(here, f"cells that cannot be read ({type(fault).__name__})", "plain cells", move)
                )
                continue
            if found is not None:
                sheets.append(found)
    finally:
        workbook.close()
    if faults:
        raise BookError(faults)
    return sheets


def _sheet_rows(sheet: object, where: str, faults: list[Fault]) -> Iterator[tuple[int, list[str]]]:
    rows = sheet.iter_rows(max_col=MOST_COLUMNS)  # type: ignore[attr-defined]
    for number, cells in enumerate(rows, start=1):
        for cell in cells:
            if cell.data_type == "f":
                move = "paste the values instead"
                faults.append(
                    Fault(f"{where} line {number}", f"a formula {cell.value!r:.40}", "values", move)
                )
        yield number, [value_of(cell.value) for cell in cells] or [""]
