"""The book copied as a whole while others write in it, and put back."""

import sqlite3
from contextlib import closing
from pathlib import Path

from winterrisk.book.append import Book
from winterrisk.book.refusal import BookError
from winterrisk.book.write_file import VERSION_AT, connect_reading, refuse_foreign, refuse_tampered
from winterrisk.science.faults import Fault

PAGES = 256
"""Pages copied before others get their turn."""


def _copy(source: sqlite3.Connection, target: sqlite3.Connection) -> None:
    source.backup(target, pages=PAGES, sleep=0.05)


def write_backup(book: Book, target: Path | str) -> Path:
    """Copy the book to one file that is whole at every moment; the file.

    Raises:
        BookError: the target is the book itself, or cannot be written.
    """
    path = Path(target)
    if book.path is not None and path.absolute() == book.path.absolute():
        raise BookError(Fault(str(path), "the book itself", "another name", "name the backup otherwise"))
    staging = path.with_name(f".{path.name}.writing")
    try:
        staging.unlink(missing_ok=True)
        copy = sqlite3.connect(staging)
        try:
            _copy(book.connection, copy)
            copy.execute("PRAGMA journal_mode = DELETE")
        finally:
            copy.close()
        staging.replace(path)
    except (OSError, sqlite3.Error) as fault:
        found = f"a place that cannot be written ({fault})"
        raise BookError(Fault(str(path), found, "a writable folder", "name another")) from fault
    return path


def restore_backup(book: Book, source: Path | str) -> Path:
    """Put a backup in the place of the book; the file in which the book as it was before is kept.

    Either all of it is put back or nothing. A backup of an earlier version is brought up to date when the
    book is opened next.

    Raises:
        BookError: no backup, another program's database, one with views or triggers, a damaged or later one.
    """
    path = Path(source)
    if book.path is None:
        raise BookError(Fault("the book", "only in memory", "a book.sqlite", "open the folder with create"))
    if not path.is_file():
        raise BookError(Fault(str(path), "no such file", "a backup of the book", "check the name"))
    refuse_foreign(path)
    if path.read_bytes()[:VERSION_AT] == b"":
        raise BookError(Fault(str(path), "an empty file", "a backup of the book", "choose another"))
    try:
        with closing(connect_reading(path)) as connection:
            refuse_tampered(connection, path)
            kept = _free_name(book.path)
            write_backup(book, kept)
            _copy(connection, book.connection)
    except (sqlite3.Error, UnicodeDecodeError) as fault:
        expected = "a backup of the book, and a book nobody else is writing in"
        raise BookError(Fault(str(path), f"a copy that failed ({fault})", expected, "try again")) from fault
    book.bring_up_to_date()
    return kept


def _free_name(path: Path) -> Path:
    number = 1
    while (kept := path.with_name(f"{path.stem}.before-{number}{path.suffix}")).exists():
        number += 1
    return kept
