"""The one table of the weather archive, and the triggers that keep it append-only."""

from typing import Final

APPLICATION_ID: Final = 0x77726B77
VERSION: Final = 1
COLUMNS: Final = (
    "source",
    "known",
    "assumed",
    "set_back",
    "new",
    "changed",
    "attrs",
    "layout",
    "sha256",
    "cells",
)
"""known: UTC to the second. attrs: of the record, JSON. layout, cells: see `archive_cells`. sha256: of all that
stands in the row before it, and of the cells."""
STATEMENTS: Final = (
    """CREATE TABLE receipts (
        id INTEGER PRIMARY KEY, source TEXT NOT NULL, known TEXT NOT NULL, assumed INTEGER NOT NULL,
        set_back INTEGER NOT NULL, new INTEGER NOT NULL, changed INTEGER NOT NULL, attrs TEXT NOT NULL,
        layout TEXT NOT NULL, sha256 TEXT NOT NULL, cells BLOB NOT NULL
    ) STRICT""",
    """CREATE TRIGGER receipts_stay_as_they_are BEFORE UPDATE ON receipts
        BEGIN SELECT RAISE(ABORT, 'what was received is never changed'); END""",
    """CREATE TRIGGER receipts_are_kept BEFORE DELETE ON receipts
        BEGIN SELECT RAISE(ABORT, 'what was received is never removed'); END""",
    """CREATE TRIGGER receipts_are_not_replaced BEFORE INSERT ON receipts
        WHEN EXISTS (SELECT 1 FROM receipts WHERE id = NEW.id)
        BEGIN SELECT RAISE(ABORT, 'what was received is never replaced'); END""",
)


def plain(statement: str) -> str:
    """A statement without its line breaks, to compare."""
    return " ".join(statement.split())
