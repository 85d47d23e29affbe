"""Writes tables as CSV or as sheets of a workbook: the same table, the same bytes; no cell is a formula."""

import datetime as dt
import io
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from winterrisk.science.faults import Fault, Refused

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
"""First signs by which spreadsheet programs take a cell for a formula."""
SHEET_NAME = "table"
NO_TIME = dt.datetime(2000, 1, 1)
"""The time a workbook and its parts carry: writing it again changes nothing."""
FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")
"""Signs a workbook cannot hold."""


def csv_text(table: pd.DataFrame) -> str:
    """The table as CSV, numbers to five digits; text that a spreadsheet would take for a formula begins with '."""
    return str(_as_text(table).to_csv(index=False, float_format="%.5g", lineterminator="\n"))


def workbook(tables: Mapping[str, pd.DataFrame]) -> bytes:
    """A workbook (.xlsx) with one sheet a table, by name; text stays text, whatever it begins with.

    Raises:
        ImportError: openpyxl is not installed.
    """
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, table in tables.items():
        sheet = book.create_sheet(name)
        sheet.freeze_panes = "A2"
        for row in ([str(c) for c in table.columns], *table.itertuples(index=False)):
            sheet.append([_cell(value) for value in row])
        for cell in (cell for row in sheet.iter_rows() for cell in row):
            if isinstance(cell.value, str):
                cell.data_type = "s"
        for letter, column in zip((c[0].column_letter for c in sheet.columns), table.columns, strict=True):
            sheet.column_dimensions[letter].width = _width(table, column)
    written = io.BytesIO()
    book.save(written)
    return _without_times(written.getvalue())


def write_table(table: pd.DataFrame, path: Path) -> None:
    """The table as CSV, or as a sheet where the name ends in .xlsx.

    Raises:
        Refused: the file cannot be written, or the spreadsheet library is not installed.
    """
    try:
        if path.suffix.casefold() == ".xlsx":
            path.write_bytes(workbook({SHEET_NAME: table}))
        else:
            path.write_text(csv_text(table), encoding="utf-8", newline="")
    except ImportError:
        raise no_workbooks(str(path), "or name a file .csv") from None
    except OSError as fault:
        found = fault.strerror or "cannot be written"
        raise Refused(
            Fault(str(path), found, "a file that can be written", "choose another path for --csv")
        ) from None


def no_workbooks(where: str, otherwise: str) -> Refused:
    """The refusal where the spreadsheet library is not installed."""
    move = f"pip install 'winterrisk[xlsx]', {otherwise}"
    return Refused(Fault(where, "openpyxl is not installed", "it, to write .xlsx", move))


def _as_text(table: pd.DataFrame) -> pd.DataFrame:
    """The table with every text made safe; numbers stay numbers."""
    safe = table.rename(columns=lambda name: _safe(str(name)))
    for name in safe.columns:
        if not pd.api.types.is_numeric_dtype(safe[name]):
            safe[name] = safe[name].map(lambda value: _safe(value) if isinstance(value, str) else value)
    return safe


def _safe(text: str) -> str:
    return f"'{text}" if text.startswith(FORMULA_SIGNS) or text.lstrip().startswith(FORMULA_SIGNS) else text


def _cell(value: Any) -> Any:
    if isinstance(value, str):
        return FORBIDDEN.sub("\ufffd", value)
    if pd.isna(value):
        return None
    if isinstance(value, float):
        return float(f"{value:.5g}")
    return value.item() if hasattr(value, "item") else value


def _width(table: pd.DataFrame, column: Any) -> int:
    longest = max([len(str(column)), *(len(str(value)) for value in table[column])])
    return min(60, max(8, longest + 2))


def _without_times(book: bytes) -> bytes:
    """The workbook packed again with one fixed time in all its parts."""
    stamp = f"{NO_TIME.isoformat()}Z"
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as before, zipfile.ZipFile(packed, "w") as after:
        for name in before.namelist():
            part = before.read(name)
            if name == "docProps/core.xml":
                part = re.sub(rb"(<dcterms:\w+[^>]*>)[^<]*", rb"\g<1>" + stamp.encode(), part)
            entry = zipfile.ZipInfo(name, NO_TIME.timetuple()[:6])
            after.writestr(entry, part, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
