"""The book's file: opened with care, whoever it comes from."""

import os
import sqlite3
import struct
from pathlib import Path

from winterrisk.book.refusal import BookError
from winterrisk.book.schema import APPLICATION_ID, MIGRATIONS, VERSION
from winterrisk.science.faults import Fault

MAGIC = b"SQLite format 3\x00"
HEADER_BYTES = 100
VERSION_AT, APPLICATION_AT = 60, 68
WAIT_SECONDS = 20.0
LEAVE_IT = "move the file elsewhere; a new book is then begun"


def refuse_foreign(path: Path) -> None:
    """Look at a file's first bytes, before anything opens it.

    Raises:
        BookError: not a database, another program's database, or a book of a later version.
    """
    with path.open("rb") as file:
        header = file.read(HEADER_BYTES)
    if not header or path.with_name(path.name + "-journal").exists():
        return
    if len(header) < HEADER_BYTES or not header.startswith(MAGIC):
        raise BookError(Fault(str(path), "a file that is no database", "the book of this course", LEAVE_IT))
    application, version = (
        struct.unpack(">I", header[at : at + 4])[0] for at in (APPLICATION_AT, VERSION_AT)
    )
    if application != APPLICATION_ID:
        raise BookError(Fault(str(path), "another program's database", "the book of this course", LEAVE_IT))
    if version > VERSION:
        found, ours = f"a book of version {version}", f"version {VERSION} or earlier"
        raise BookError(Fault(str(path), found, ours, "install the winterrisk that wrote it, or a newer one"))


def refuse_tampered(connection: sqlite3.Connection, path: Path) -> None:
    """Raise BookError where the file is damaged or carries views or triggers."""
    shape = connection.execute("SELECT type, name, sql FROM sqlite_schema").fetchall()
    if any(kind in ("view", "trigger") for kind, *_ in shape):
        found = "views or triggers somebody put in"
        raise BookError(
            Fault(str(path), found, "the book's own tables only", "restore the book from a backup")
        )
    check = [row[0] for row in connection.execute("PRAGMA quick_check(1)")]
    if check != ["ok"]:
        raise BookError(
            Fault(str(path), f"a damaged file ({check[0]})", "a whole book", "restore it from a backup")
        )


def with_journal(connection: sqlite3.Connection, path: Path) -> sqlite3.Connection:
    """The connection with a write-ahead log; where the folder cannot carry one, another with a rollback journal.

    Synced and network folders often cannot. The log is tried by a first write; opened by one program alone the
    file needs no memory that programs share, which must be asked before it is first read.
    """
    try:
        mode = connection.execute("PRAGMA journal_mode = WAL").fetchone()[0]
        if mode != "wal":
            return connection
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("ROLLBACK")
        return connection
    except sqlite3.OperationalError as fault:
        if "locked" in str(fault):
            return connection
    connection.close()
    alone = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
    try:
        alone.execute("PRAGMA locking_mode = EXCLUSIVE").fetchone()
        alone.execute("PRAGMA journal_mode = DELETE").fetchone()
    finally:
        alone.close()
    return _opened(path)


def version_of(connection: sqlite3.Connection) -> int:
    """Version of the tables; 0 for an empty file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection, upto: int = VERSION) -> int:
    """Bring the tables to a version inside the open transaction; the version they were at."""
    before = version_of(connection)
    for statements in MIGRATIONS[before:upto]:
        for statement in statements:
            connection.execute(statement)
    if before < upto:
        connection.execute(f"PRAGMA user_version = {upto}")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    return before


def connect_reading(path: Path) -> sqlite3.Connection:
    """A connection that cannot write, to a file nobody vouches for."""
    connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=WAIT_SECONDS)
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
    return connection


def connect(path: Path | None) -> sqlite3.Connection:
    """An open connection to the book at `path` (in memory where None); tables are not made yet.

    Raises:
        BookError: foreign, damaged or later file; folder or file that cannot be written.
    """
    if path is None:
        connection = sqlite3.connect(":memory:", isolation_level=None)
        connection.execute("PRAGMA foreign_keys = ON")
        return connection
    if path.exists():
        refuse_foreign(path)
    if not os.access(path.parent, os.W_OK) or (path.exists() and not os.access(path, os.W_OK)):
        move = "give yourself the right to write there, or copy the course folder"
        raise BookError(
            Fault(str(path), "a folder or file that cannot be written", "a writable course folder", move)
        )
    try:
        connection = _opened(path)
        refuse_tampered(connection, path)
    except (sqlite3.Error, UnicodeDecodeError) as fault:
        expected, move = "the book of this course", "restore the book from a backup"
        raise BookError(Fault(str(path), f"a file that does not open ({fault})", expected, move)) from fault
    return connection


def _opened(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
    for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "foreign_keys = ON", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")
    return connection
