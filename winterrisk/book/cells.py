"""Cells of a table on paper and back: nothing a spreadsheet would run, nothing lost."""

import datetime as dt
from typing import Any, Final

FORMULA: Final = frozenset("=+-@\t\r\n＝＋－＠")
"""First letters that make a spreadsheet run a cell; such text is written with an apostrophe before it."""
MARK: Final = "'"


def cell_of(value: Any) -> str | int | float | None:
    """A value of the book as a cell: numbers as they are, text that looks like a formula escaped."""
    if value is None or isinstance(value, int | float):
        return value
    text = str(value)
    return MARK + text if text[:1] in FORMULA or text[:1] == MARK else text


def value_of(cell: Any) -> str:
    """The text a cell stands for: escapes taken off, dates as ISO text, whole numbers without a point."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return str(int(cell))
    if isinstance(cell, dt.datetime):
        return cell.isoformat(timespec="seconds")
    if isinstance(cell, dt.date):
        return cell.isoformat()
    if isinstance(cell, float):
        return repr(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    text = str(cell)
    escaped = text[:1] == MARK and (text[1:2] in FORMULA or text[1:2] == MARK)
    return text[1:] if escaped and len(text) > 1 else text
