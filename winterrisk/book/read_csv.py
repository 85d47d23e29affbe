"""A course's `book/*.csv`: read whole and checked line by line before a row of them is kept."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from winterrisk.book.check_rows import moment
from winterrisk.book.refusal import BookError
from winterrisk.book.schema import COLUMNS
from winterrisk.science.faults import Fault, nearest
from winterrisk.science.read_capped import capped_bytes

TABLES = ("observations", "batches", "plugs", "looks", "surveys", "decisions")
"""Files of the folder in the order in which they depend on each other."""
TIME_OF = {
    "observations": "time",
    "batches": "warm_from",
    "plugs": "cut",
    "looks": "time",
    "surveys": "date",
    "decisions": "time",
}
MUST = {
    "observations": ("time", "area", "zone", "kind"),
    "batches": ("id",),
    "plugs": ("id", "area", "zone", "cut"),
    "looks": ("plug", "time"),
    "surveys": ("date", "area", "zone", "dead_low", "dead_high"),
    "decisions": ("time", "text"),
}
ASSUMED_KNOWN = np.timedelta64(1, "h")
"""A row without `known` counts as known an hour after its time; a survey at the end of its day."""


@dataclass(frozen=True)
class Line:
    """One line of a file: values by column, when it was known, and where it stands."""

    given: Mapping[str, str]
    known: np.datetime64
    where: str


def _header_faults(names: list[str], table: str, where: str) -> list[Fault]:
    faults = []
    for name in names:
        if name not in COLUMNS[table]:
            close = nearest(name, COLUMNS[table])
            hint = f"did you mean {close}?" if close else "see the tables in docs"
            faults.append(Fault(where, f"column {name!r}", "one of " + ", ".join(COLUMNS[table]), hint))
    faults += [
        Fault(where, f"no column {n!r}", "it is needed", "add it") for n in MUST[table] if n not in names
    ]
    if len(set(names)) < len(names):
        faults.append(Fault(where, "a column named twice", "each column once", "remove one"))
    return faults


def known_of(given: Mapping[str, str], table: str) -> np.datetime64:
    """When a row counts as known (UTC): as it says, else an hour after its time."""
    said = moment(given.get("known"))
    if said is not None:
        return said
    time = moment(given.get(TIME_OF[table]))
    if time is None:
        return np.datetime64("1950-01-01T00:00:00")
    if table == "surveys":
        return time.astype("datetime64[D]").astype("datetime64[s]") + np.timedelta64(1, "D") + ASSUMED_KNOWN
    return time + ASSUMED_KNOWN


def read_lines(path: Path, table: str) -> list[Line]:
    """Lines of one CSV file (UTF-8, comma, header of column names; lines that begin with # are remarks).

    Raises:
        BookError: not text, no header, unknown or missing columns, lines of another length; every fault.
    """
    where = f"{path.parent.name}/{path.name}"
    try:
        text = capped_bytes(path).decode("utf-8-sig")
    except OSError as fault:
        found = (fault.strerror or "it cannot be read").lower()
        move = "hand in one course's tables only, as plain files you may read"
        raise BookError(Fault(where, found, "a UTF-8 CSV file", move)) from fault
    except UnicodeDecodeError as fault:
        raise BookError(
            Fault(where, "bytes that are no text", "a UTF-8 CSV file", "save it as CSV UTF-8")
        ) from fault
    if "\x00" in text:
        raise BookError(Fault(where, "bytes that are no text", "a UTF-8 CSV file", "save it as CSV UTF-8"))
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    lines: list[Line] = []
    faults: list[Fault] = []
    names: list[str] = []
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            here = f"{where} line {reader.line_num}"
            if not names:
                names = [cell.strip() for cell in cells]
                faults += _header_faults(names, table, here)
                if faults:
                    break
            elif len(cells) != len(names):
                expected = f"{len(names)} values, one a column"
                faults.append(
                    Fault(here, f"{len(cells)} values", expected, "look for a missing or spare comma")
                )
            else:
                given = {n: c.strip() for n, c in zip(names, cells, strict=True)}
                known = known_of(given, table)
                said = {n: c for n, c in given.items() if n != "known"}
                if given.get("known") and moment(given["known"]) is None:
                    expected = "a time such as 2025-01-14T09:00"
                    faults.append(Fault(f"{here}, known", repr(given["known"]), expected, "correct the line"))
                lines.append(Line(said, known, here))
    except csv.Error as fault:
        faults.append(
            Fault(f"{where} line {reader.line_num}", str(fault), "plain CSV", "look for a lone quote")
        )
    if not names and not faults:
        faults.append(Fault(where, "an empty file", "a header line of column names", "fill it or remove it"))
    if faults:
        raise BookError(faults)
    return lines


def read_book_folder(folder: Path) -> dict[str, list[Line]]:
    """Lines of every CSV file in a course's `book` folder, by table.

    Raises:
        BookError: every fault of every file.
    """
    found: dict[str, list[Line]] = {}
    faults: list[Fault] = []
    for path in sorted((folder / "book").glob("*.csv")):
        if path.stem not in TABLES:
            close = nearest(path.stem, TABLES)
            hint = f"did you mean {close}.csv?" if close else "move it out of the folder"
            faults.append(
                Fault(f"book/{path.name}", "a file the book does not know", ", ".join(TABLES), hint)
            )
            continue
        try:
            found[path.stem] = read_lines(path, path.stem)
        except BookError as refused:
            faults.extend(refused.faults)
    if faults:
        raise BookError(faults)
    return {table: found[table] for table in TABLES if table in found}
