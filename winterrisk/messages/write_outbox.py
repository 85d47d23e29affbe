"""The outbox: every message is written here before it is sent, and what became of it after."""

import datetime as dt
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from winterrisk.messages.message import Message
from winterrisk.science.faults import Fault, Refused

NAME: Final = "outbox.sqlite"
APPLICATION_ID: Final = 0x77726F78
VERSION: Final = 1
WAIT_SECONDS: Final = 20.0
WAITING, SENT, EXPIRED, REPLACED = "waiting", "sent", "expired", "replaced"
FIRST_PAUSE, LONGEST_PAUSE = np.timedelta64(10, "m"), np.timedelta64(6, "h")
"""Pause after the first failed attempt, doubled each time, and the longest (judged)."""
ERROR_LENGTH: Final = 200
OF_CALLS: Final = ("action", "withdrawn", "danger", "missing")
"""Kinds that tell all calls that stand."""
TAKES_THE_PLACE_OF: Final[Mapping[str, tuple[str, ...]]] = dict.fromkeys(OF_CALLS, OF_CALLS) | {
    "digest": ("digest",)
}
"""Kinds of an older night that need not go any more once one of the first kind is written."""

TABLE: Final = """CREATE TABLE messages (
    id TEXT PRIMARY KEY, kind TEXT NOT NULL, night TEXT NOT NULL, recipient TEXT NOT NULL,
    headline TEXT NOT NULL, body TEXT NOT NULL, about TEXT NOT NULL, written TEXT NOT NULL,
    not_before TEXT NOT NULL, expires TEXT NOT NULL, state TEXT NOT NULL DEFAULT 'waiting',
    tries INTEGER NOT NULL DEFAULT 0, failures INTEGER NOT NULL DEFAULT 0, next_try TEXT NOT NULL,
    sent TEXT NOT NULL DEFAULT '', error TEXT NOT NULL DEFAULT '') STRICT"""
COLUMNS: Final = (
    "id", "kind", "night", "recipient", "headline", "body", "about", "written", "not_before", "expires", "state",
    "tries", "failures", "next_try", "sent", "error",
)  # fmt: skip


class OutboxError(Refused):
    """An outbox that cannot be used."""


@dataclass(frozen=True)
class Kept:
    """A message in the outbox; instants are UTC, `sent` is empty until it went."""

    id: str
    kind: str
    night: str
    recipient: str
    headline: str
    body: str
    about: Mapping[str, Any]
    written: np.datetime64
    not_before: np.datetime64
    expires: np.datetime64
    state: str
    tries: int
    failures: int
    next_try: np.datetime64
    sent: np.datetime64 | None
    error: str

    @property
    def uncertain(self) -> bool:
        """Whether a try was begun and what came of it is not on record: it may have arrived."""
        return self.state == WAITING and self.tries > self.failures

    @property
    def lost(self) -> bool:
        """Whether nobody will get it: given up, or a later one went in its place."""
        return self.state in (EXPIRED, REPLACED)

    @classmethod
    def of(cls, row: Sequence[Any]) -> "Kept":
        """The message of a row."""
        values = dict(zip(COLUMNS, row, strict=True))
        try:
            values["about"] = dict(json.loads(values["about"]))
            for name in ("written", "not_before", "expires", "next_try"):
                values[name] = np.datetime64(values[name], "s")
            values["sent"] = np.datetime64(values["sent"], "s") if values["sent"] else None
            dt.date.fromisoformat(values["night"])
        except (ValueError, TypeError) as fault:
            raise sqlite3.DatabaseError(f"a message that cannot be read, {row[0]!r:.40}") from fault
        return cls(**values)


class Outbox:
    """An open outbox of a course."""

    def __init__(self, connection: sqlite3.Connection, course: str) -> None:
        self.connection, self.course = connection, course

    def kept(self) -> tuple[Kept, ...]:
        """All messages, oldest first."""
        rows = self.connection.execute(f"SELECT {', '.join(COLUMNS)} FROM messages ORDER BY written, rowid")
        return tuple(Kept.of(row) for row in rows)

    def put(self, messages: Sequence[Message], now: np.datetime64) -> int:
        """Write the messages that are not there yet, all or none; how many were new.

        One that waits for the same person from an earlier night is replaced by a newer one of its kind, which says
        what it said and more: nobody gets an old call after a newer one.
        """
        with self._writing() as connection:
            return sum(self._put(connection, message, now) for message in messages)

    def _put(self, connection: sqlite3.Connection, message: Message, now: np.datetime64) -> int:
        given = (
            message.identity(self.course), message.kind, message.night, message.recipient, message.headline,
            message.body, json.dumps(message.about), str(now), str(message.not_before), str(message.expires),
            str(message.not_before),
        )  # fmt: skip
        added = connection.execute(
            "INSERT OR IGNORE INTO messages (id, kind, night, recipient, headline, body, about, written, "
            "not_before, expires, next_try) VALUES (?,?,?,?,?,?,?,?,?,?,?)",
            given,
        ).rowcount
        older = TAKES_THE_PLACE_OF.get(message.kind, ())
        if added and older:
            connection.execute(
                f"UPDATE messages SET state = ? WHERE state = ? AND kind IN ({', '.join('?' * len(older))}) "
                "AND recipient = ? AND id <> ? AND night < ?",
                (REPLACED, WAITING, *older, message.recipient, given[0], message.night),
            )
        return added

    def began(self, id: str) -> None:
        """Note that an attempt is made, before it is made."""
        with self._writing() as connection:
            connection.execute("UPDATE messages SET tries = tries + 1 WHERE id = ?", (id,))

    def arrived(self, id: str, now: np.datetime64) -> None:
        """Note that it went."""
        with self._writing() as connection:
            connection.execute(
                "UPDATE messages SET state = ?, sent = ?, error = '' WHERE id = ?", (SENT, str(now), id)
            )

    def failed(self, id: str, error: str, next_try: np.datetime64) -> None:
        """Note why it did not go, and when it is tried again."""
        with self._writing() as connection:
            connection.execute(
                "UPDATE messages SET error = ?, next_try = ?, failures = tries WHERE id = ?",
                (error[:ERROR_LENGTH], str(next_try), id),
            )

    def expire(self, late: Sequence[Kept], notices: Sequence[Message], now: np.datetime64) -> None:
        """Give messages up and write the notices of it, all or none."""
        if not late:
            return
        with self._writing() as connection:
            for row in late:
                connection.execute("UPDATE messages SET state = ? WHERE id = ?", (EXPIRED, row.id))
            for message in notices:
                self._put(connection, message, now)

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield self.connection
        except BaseException:
            self.connection.execute("ROLLBACK")
            raise
        self.connection.execute("COMMIT")


def pause_after(tries: int) -> np.timedelta64:
    """How long nothing is tried after so many attempts."""
    doubled: np.timedelta64 = FIRST_PAUSE * 2 ** min(max(tries - 1, 0), 10)
    return min(doubled, LONGEST_PAUSE)


def has_outbox(folder: Path) -> bool:
    """Whether a course folder has an outbox."""
    return (folder / NAME).exists()


@contextmanager
def open_outbox(folder: Path, course: str, *, write: bool = True) -> Iterator[Outbox]:
    """The outbox of a course folder, made where there is none.

    Args:
        course: id of the course. write: False only looks; an outbox that is not there is then empty.
    Raises:
        OutboxError: the file is damaged, foreign, of a later version, or cannot be written.
    """
    path = folder / NAME
    try:
        connection = _connected(path, write)
    except (sqlite3.Error, UnicodeDecodeError) as fault:
        move = "move the file elsewhere; a new outbox is then begun, and calls that stand are told again"
        raise OutboxError(
            Fault(str(path), f"a file that does not open ({fault})", "the outbox", move)
        ) from fault
    try:
        yield Outbox(connection, course)
    except sqlite3.OperationalError as fault:
        move = "make room and check the permissions there, then run this again"
        raise OutboxError(Fault(str(path), str(fault), "an outbox that can be written", move)) from fault
    except (sqlite3.DatabaseError, UnicodeDecodeError) as fault:
        move = "move the file elsewhere; a new outbox is then begun, and calls that stand are told again"
        raise OutboxError(Fault(str(path), f"a damaged file ({fault})", "the outbox", move)) from fault
    finally:
        connection.close()


def _connected(path: Path, write: bool) -> sqlite3.Connection:
    if not write and not path.exists():
        connection = sqlite3.connect(":memory:", isolation_level=None)
    elif write:
        connection = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
    else:
        there = f"{path.absolute().as_uri()}?mode=ro"
        connection = sqlite3.connect(there, uri=True, timeout=WAIT_SECONDS, isolation_level=None)
    try:
        for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "synchronous = FULL"):
            connection.execute(f"PRAGMA {pragma}")
        tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
        mark = connection.execute("PRAGMA application_id").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        if tables and (mark, version) != (APPLICATION_ID, VERSION):
            raise sqlite3.DatabaseError("another program's, or a later version's")
        if not tables:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute(TABLE)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {VERSION}")
            connection.execute("COMMIT")
    except BaseException:
        connection.close()
        raise
    return connection
