"""Every row of the book as it lies there, corrections and withdrawals too: what an export holds."""

import sqlite3
from dataclasses import dataclass
from typing import Any, Final

TABLES: Final = (
    "batches", "plugs", "looks", "observations", "surveys", "decisions", "nights", "messages",
    "threshold_versions", "inbox_lines",
)  # fmt: skip
"""All tables, those that others point at first."""


@dataclass(frozen=True)
class Columns:
    """Columns of a table as the file has them: names, which hold numbers, which may be missing."""

    names: tuple[str, ...]
    kinds: tuple[str, ...]
    may_miss: tuple[bool, ...]

    def stored(self, name: str, text: str) -> Any:
        """The value the file keeps for the text of a cell."""
        at = self.names.index(name)
        if text == "":
            return None if self.may_miss[at] else ("" if self.kinds[at] == "TEXT" else 0)
        return {"INTEGER": int, "REAL": float}.get(self.kinds[at], str)(text)


def columns_of(connection: sqlite3.Connection, table: str) -> Columns:
    """Columns of one of `TABLES`."""
    rows = connection.execute(f"PRAGMA table_info({table})").fetchall()
    return Columns(
        tuple(row[1] for row in rows), tuple(row[2] for row in rows), tuple(not row[3] for row in rows)
    )


def rows_of(connection: sqlite3.Connection, table: str) -> list[tuple[Any, ...]]:
    """Rows of one of `TABLES` in the order in which they were written."""
    return connection.execute(f"SELECT * FROM {table} ORDER BY rowid").fetchall()
