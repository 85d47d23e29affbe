"""Rows of an export put back as they lay in the book they came from, corrections and withdrawals too."""

import json
import sqlite3
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import Any, Final

from winterrisk.book.all_rows import Columns
from winterrisk.book.check_rows import CHECKS, checked, moment
from winterrisk.book.read_sheets import Sheet
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault

LISTS: Final = {"nights": "calls", "threshold_versions": "used"}
"""Columns that hold a list written as text."""
OTHER_WORDS = "other words under the same id"


@dataclass
class Restored:
    """Numbers under which rows of an export now stand, by table, where those were taken."""

    numbers: dict[str, dict[int, int]] = field(default_factory=lambda: defaultdict(dict))


def _stored(
    sheet: Sheet, columns: Columns, table: str, number: int, cells: tuple[str, ...]
) -> dict[str, Any]:
    """The row as the file would keep it, checked as a row typed by hand is.

    Raises:
        BookError: every fault of it.
    """
    where, row = f"{sheet.where} line {number}", {}
    faults = []
    for name, text in zip(sheet.columns, cells, strict=True):
        try:
            row[name] = columns.stored(name, text)
        except ValueError:
            faults.append(Fault(f"{where}, {name}", repr(text), "a number", "export it again"))
    known = moment(row.get("known"))
    if known is None:
        faults.append(Fault(f"{where}, known", repr(row.get("known")), "a time", "export it again"))
    if not faults and known is not None and table in CHECKS:
        given = {n: v for n, v in row.items() if n not in ("corrects", "withdrawn", "known")}
        clean = checked(table, given, known, where)
        faults += clean.faults
        if not faults:
            row |= {n: v for n, v in clean.row.items() if n in row and not (v == "" and row[n] is None)}
    if not faults and table in LISTS:
        try:
            json.loads(row[LISTS[table]])
        except ValueError:
            faults.append(Fault(f"{where}, {LISTS[table]}", "no list", "a list as text", "export it again"))
    if faults:
        raise BookError(faults)
    return row


def restored(
    connection: sqlite3.Connection,
    table: str,
    sheet: Sheet,
    columns: Columns,
    before: list[tuple[Any, ...]],
    full: Restored,
) -> tuple[int, int]:
    """Rows of one table of an export put in; how many are new, how many stood there already.

    Rows keep their numbers in an empty table; else they get new ones and their corrections follow them.

    Raises:
        BookError: every fault; an id of a plug, batch or version that stands for something else.
    """
    names = columns.names
    numbered = columns.kinds[names.index("id")] == "INTEGER" if "id" in names else False
    rest = [n for n in names if not (numbered and n == "id")]
    at = {row[0]: dict(zip(names, row, strict=True)) for row in before}
    held = Counter(tuple(row[n] for n in rest) for row in at.values())
    faults: list[Fault] = []
    new = there = 0
    for number, cells in sheet.lines:
        where = f"{sheet.where} line {number}"
        try:
            row = _stored(sheet, columns, table, number, cells)
            if numbered and row.get("corrects") is not None:
                row["corrects"] = full.numbers[table].get(row["corrects"], row["corrects"])
            content = tuple(row[n] for n in rest)
            if held[content] > 0:
                held[content] -= 1
                there += 1
                _follow(table, row, at, rest, full)
                continue
            _put(connection, table, row, at, numbered, full, where)
            new += 1
        except BookError as refused:
            faults.extend(refused.faults)
    if faults:
        raise BookError(faults)
    return new, there


def _follow(
    table: str, row: dict[str, Any], at: dict[Any, dict[str, Any]], rest: list[str], full: Restored
) -> None:
    """Remember under which number a row stands that the book holds already."""
    if not isinstance(row.get("id"), int):
        return
    taken = set(full.numbers[table].values())
    content = [row[n] for n in rest]
    same = (i for i, old in at.items() if i not in taken and [old[n] for n in rest] == content)
    own = row["id"] in at and [at[row["id"]][n] for n in rest] == content and row["id"] not in taken
    full.numbers[table][row["id"]] = row["id"] if own else next(same, row["id"])


def _put(
    connection: sqlite3.Connection,
    table: str,
    row: dict[str, Any],
    at: dict[Any, dict[str, Any]],
    numbered: bool,
    full: Restored,
    where: str,
) -> None:
    values, key = dict(row), ("version" if table == "threshold_versions" else "id")
    if numbered and at:
        del values["id"]
    elif not numbered and row[key] in at:
        raise BookError(
            Fault(where, OTHER_WORDS, "a row the book does not hold yet", "correct it in the book")
        )
    names = list(values)
    sql = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"
    try:
        cursor = connection.execute(sql, [values[n] for n in names])
    except sqlite3.IntegrityError as fault:
        found, move = f"a row the book cannot take ({fault})", "import the other tables of the export with it"
        raise BookError(Fault(where, found, "a row that fits the book", move)) from fault
    if numbered:
        full.numbers[table][row["id"]] = int(cursor.lastrowid or 0)
