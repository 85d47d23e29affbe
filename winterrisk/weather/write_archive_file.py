"""The archive's file: opened with care, whoever it comes from, and what the disk says put into words."""

import os
import sqlite3
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from winterrisk.science.faults import Fault
from winterrisk.weather.archive_schema import APPLICATION_ID, STATEMENTS, VERSION, plain
from winterrisk.weather.refused import WeatherError

MAGIC: Final = b"SQLite format 3\x00"
HEADER_BYTES: Final = 100
VERSION_AT, APPLICATION_AT = 60, 68
WAIT_SECONDS: Final = 30.0
OURS: Final = "the weather archive of this course"
LEAVE_IT: Final = "move the file elsewhere, or restore it from a backup; a new archive is then begun"
MAY_NOT: Final = "a folder or file that cannot be written"
GIVE_RIGHTS: Final = "give yourself the right to write there, or copy the course folder"
IN_WORDS: Final = {
    "FULL": ("no room left on the disk", "make room there, then run this again; nothing was kept"),
    "IOERR": (
        "a disk that does not take it",
        "make room and check the disk, then run this again; nothing was kept",
    ),
    "BUSY": ("another run still writing to it", "wait until it has ended, then run this again"),
    "LOCKED": ("another run still writing to it", "wait until it has ended, then run this again"),
    "READONLY": (MAY_NOT, GIVE_RIGHTS),
    "CANTOPEN": (MAY_NOT, GIVE_RIGHTS),
    "PERM": (MAY_NOT, GIVE_RIGHTS),
    "CORRUPT": ("a damaged file", LEAVE_IT),
    "NOTADB": ("a file that is no database", LEAVE_IT),
}
"""What the database's faults mean to a person, by the first word of their name: found, next move."""


def told(path: Path, fault: sqlite3.Error, expected: str = "an archive that can be written") -> WeatherError:
    """The database's fault in words."""
    code = getattr(fault, "sqlite_errorname", "") or ""
    word = code.removeprefix("SQLITE_").split("_")[0]
    found, move = IN_WORDS.get(word, ("a file that cannot be used", LEAVE_IT))
    return WeatherError(Fault(str(path), f"{found} ({fault})", expected, move))


def connect(path: Path) -> sqlite3.Connection:
    """An open connection to the archive at `path`, begun where there is none.

    Raises:
        WeatherError: foreign, damaged or later file; folder or file that cannot be written.
    """
    try:
        path.parent.mkdir(exist_ok=True)
    except OSError as fault:
        found = f"a folder that cannot be made ({(fault.strerror or 'no reason given').lower()})"
        raise WeatherError(Fault(str(path.parent), found, "a writable course folder", GIVE_RIGHTS)) from fault
    _refuse_foreign(path)
    if not _writable(path):
        raise WeatherError(Fault(str(path), MAY_NOT, "a writable course folder", GIVE_RIGHTS))
    with _in_words(path):
        connection = _open(str(path))
        try:
            if not _log_works(connection):
                connection = _without_log(connection, path)
            _begin(connection)
            _refuse_tampered(connection, path)
            if _asked(connection, "journal_mode") != "wal":
                connection = _with_log(connection, path)
        except BaseException:
            connection.close()
            raise
    return connection


def connect_reading(path: Path) -> sqlite3.Connection:
    """A connection that cannot write; the file may stand in a folder that cannot be written.

    Raises:
        WeatherError: foreign, damaged or later file.
    """
    _refuse_foreign(path)
    address = str(path)
    if not _writable(path):
        being_written = any(_size(path.with_name(path.name + end)) for end in ("-wal", "-journal"))
        address = f"{path.absolute().as_uri()}?{'mode=ro' if being_written else 'immutable=1'}"
    with _in_words(path):
        connection = _open(address)
        try:
            _refuse_tampered(connection, path)
            connection.execute("PRAGMA query_only = ON")
        except BaseException:
            connection.close()
            raise
    return connection


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as fault:
        raise told(path, fault, OURS) from fault
    except UnicodeDecodeError as fault:
        raise WeatherError(Fault(str(path), "a damaged file (letters no more)", OURS, LEAVE_IT)) from fault


def _open(address: str) -> sqlite3.Connection:
    uri = address.startswith("file:")
    connection = sqlite3.connect(address, timeout=WAIT_SECONDS, isolation_level=None, uri=uri)
    for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")
    return connection


def _refuse_foreign(path: Path) -> None:
    """Look at a file's first bytes, before anything opens it.

    Raises:
        WeatherError: not a database, another program's database, or an archive of a later version.
    """
    try:
        with path.open("rb") as file:
            header = file.read(HEADER_BYTES)
    except FileNotFoundError:
        return
    except OSError as fault:
        found = f"a file that cannot be read ({(fault.strerror or 'no reason given').lower()})"
        raise WeatherError(Fault(str(path), found, OURS, GIVE_RIGHTS)) from fault
    if not header or _size(path.with_name(path.name + "-journal")):
        return
    if len(header) < HEADER_BYTES or not header.startswith(MAGIC):
        raise WeatherError(Fault(str(path), "a file that is no database", OURS, LEAVE_IT))
    application, version = (
        struct.unpack(">I", header[at : at + 4])[0] for at in (APPLICATION_AT, VERSION_AT)
    )
    if application != APPLICATION_ID:
        raise WeatherError(Fault(str(path), "another program's database", OURS, LEAVE_IT))
    if version > VERSION:
        move = "install the winterrisk that wrote it, or a newer one"
        raise WeatherError(Fault(str(path), f"an archive of version {version}", f"version {VERSION}", move))


def _begin(connection: sqlite3.Connection) -> None:
    """Make the tables in an empty file; of two runs that begin it at once the second finds them made."""
    if _version(connection):
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        if not _version(connection) and not _shape(connection):
            for statement in STATEMENTS:
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _refuse_tampered(connection: sqlite3.Connection, path: Path) -> None:
    shape = _shape(connection)
    if not shape:
        found, move = "an archive that was never begun", "move the file elsewhere; a new one is then begun"
        raise WeatherError(Fault(str(path), found, OURS, move))
    if shape != {plain(statement) for statement in STATEMENTS}:
        found = "tables, views or triggers somebody put in or took out"
        raise WeatherError(Fault(str(path), found, OURS, LEAVE_IT))
    check = [row[0] for row in connection.execute("PRAGMA quick_check(1)")]
    if check != ["ok"]:
        raise WeatherError(Fault(str(path), f"a damaged file ({check[0]})", "a whole archive", LEAVE_IT))


def _log_works(connection: sqlite3.Connection) -> bool:
    """Whether the file can be written with the log or journal that it has now; another run may be at it."""
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("ROLLBACK")
        return True
    except sqlite3.OperationalError as fault:
        return "locked" in str(fault)
    finally:
        connection.execute(f"PRAGMA busy_timeout = {round(1000 * WAIT_SECONDS)}")


def _with_log(connection: sqlite3.Connection, path: Path) -> sqlite3.Connection:
    """Write-ahead log; where the folder cannot carry one (synced, network), a rollback journal."""
    try:
        if _asked(connection, "journal_mode = WAL") != "wal" or _log_works(connection):
            return connection
    except sqlite3.OperationalError as fault:
        if "locked" in str(fault):
            return connection
    return _without_log(connection, path)


def _without_log(connection: sqlite3.Connection, path: Path) -> sqlite3.Connection:
    """Give up a log that this folder cannot carry.

    Opened by one run alone it needs no memory that runs share; that must be asked before the file is first read.
    """
    connection.close()
    alone = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
    try:
        _asked(alone, "locking_mode = EXCLUSIVE")
        _asked(alone, "journal_mode = DELETE")
    finally:
        alone.close()
    return _open(str(path))


def _asked(connection: sqlite3.Connection, pragma: str) -> object:
    return connection.execute(f"PRAGMA {pragma}").fetchone()[0]


def _version(connection: sqlite3.Connection) -> int:
    return int(str(_asked(connection, "user_version")))


def _shape(connection: sqlite3.Connection) -> set[str]:
    return {plain(sql) for (sql,) in connection.execute("SELECT sql FROM sqlite_schema") if sql}


def _writable(path: Path) -> bool:
    return os.access(path.parent, os.W_OK) and (not path.exists() or os.access(path, os.W_OK))


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0
