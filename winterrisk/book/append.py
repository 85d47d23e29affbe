"""The book: one SQLite file a course, into which people's words are appended and never changed."""

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import numpy as np

from winterrisk.book.check_rows import Checked, checked, moment
from winterrisk.book.places import Places
from winterrisk.book.record import Record, read_record
from winterrisk.book.refusal import BookError
from winterrisk.book.schema import COLUMNS, CORRECTED, VERSION
from winterrisk.book.write_file import migrate, version_of
from winterrisk.science.faults import Fault, nearest

FILE_NAME = "book.sqlite"

Time = str | np.datetime64
"""UTC: ISO text or datetime64."""
Said = Mapping[str, Any]
Row = dict[str, Any]


class Book:
    """The book of one course. Close it, or use it in a `with` statement."""

    def __init__(
        self, connection: sqlite3.Connection, path: Path | None, places: Places | None = None
    ) -> None:
        self._connection = connection
        self.path = path
        self.places = places

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def connection(self) -> sqlite3.Connection:
        """The open file, for copying it and for reading it whole."""
        return self._connection

    def bring_up_to_date(self) -> None:
        """Turn the tables of an older book into those of today."""
        if version_of(self._connection) < VERSION:
            with self.writing() as connection:
                migrate(connection)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is kept, or nothing; other programs wait their turn.

        Inside another `writing` it is a part that can fail alone.
        """
        if self._connection.in_transaction:
            with self._part():
                yield self._connection
            return
        try:
            self._connection.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as fault:
            found, move = (
                f"a book that cannot be written ({fault})",
                "close other programs that hold it, then again",
            )
            raise BookError(Fault(str(self.path), found, "a free, writable book", move)) from fault
        try:
            yield self._connection
            self._connection.execute("COMMIT")
        except BaseException:
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")
            raise

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """One moment of the book: what others write meanwhile is not seen."""
        alone = not self._connection.in_transaction
        if alone:
            self._connection.execute("BEGIN")
        try:
            yield self._connection
        finally:
            if alone:
                self._connection.execute("COMMIT")

    @contextmanager
    def _part(self) -> Iterator[None]:
        self._connection.execute("SAVEPOINT part")
        try:
            yield
        except BaseException:
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK TO part")
                self._connection.execute("RELEASE part")
            raise
        self._connection.execute("RELEASE part")

    def record(self, known_by: Time | None = None) -> Record:
        """Everything in the book that was known by a time (UTC), corrections resolved."""
        return read_record(self._connection, None if known_by is None else _moment(known_by, "known_by"))

    def add(self, table: str, given: Said, *, known: Time, where: str = "") -> int | str:
        """Append one row; its id.

        Args:
            table: observations, batches, plugs, looks, surveys or decisions.
            given: values by column name; zone is the bare zone name beside area. times UTC.
            known: when we learned it (UTC); nothing later can have been seen.
        Raises:
            BookError: every fault of the row; nothing is written.
        """
        with self.writing() as connection:
            return self._append(connection, table, given, known, where or table.rstrip("s"))

    def add_many(self, table: str, rows: Sequence[tuple[Said, Time, str]]) -> list[int | str]:
        """Append rows of (values, known, where) together; their ids. All of them or none."""
        with self.writing():
            ids, faults = self.append_lines(table, rows)
            if faults:
                raise BookError(faults)
        return ids

    def add_together(
        self, rows: Sequence[tuple[str, Said]], *, known: Time, where: str = ""
    ) -> list[int | str]:
        """Append rows of several tables, (table, values), together; their ids. All of them or none."""
        with self.writing() as connection:
            return [self._append(connection, table, given, known, where or table) for table, given in rows]

    def append_lines(
        self, table: str, rows: Sequence[tuple[Said, Time, str]]
    ) -> tuple[list[int | str], list[Fault]]:
        """Append rows inside a transaction that is already open: ids, and the faults of the rows left out."""
        ids: list[int | str] = []
        faults: list[Fault] = []
        for given, known, where in rows:
            try:
                ids.append(self._append(self._connection, table, given, known, where))
            except BookError as refused:
                faults.extend(refused.faults)
        return ids, faults

    def add_observation(self, *, known: Time, **given: Any) -> int | str:
        """Append what somebody saw or did: time, until, area, zone, kind, value, unit, share, detail, who."""
        return self.add("observations", given, known=known)

    def add_batch(self, *, known: Time, **given: Any) -> int | str:
        """Append a batch: id, warm_from, room, temperature, light_hours, light_mol, void, who."""
        return self.add("batches", given, known=known)

    def add_plug(self, *, known: Time, **given: Any) -> int | str:
        """Append a plug: area, zone, spot, cut, depth_mm, crowns, control, ...; its id (P1, P2, ...)."""
        return self.add("plugs", given, known=known)

    def add_look(self, *, known: Time, **given: Any) -> int | str:
        """Append a look at a plug: plug, time, species, new_growth (0-1), colour, smell, who."""
        return self.add("looks", given, known=known)

    def add_survey(self, *, known: Time, **given: Any) -> int | str:
        """Append a spring survey: date, area, zone, species, dead_low, dead_high (0-1), cause, who."""
        return self.add("surveys", given, known=known)

    def add_decision(self, *, known: Time, **given: Any) -> int | str:
        """Append a decision: time, text, reason, night, told, who."""
        return self.add("decisions", given, known=known)

    def correct(self, table: str, id: int | str, *, known: Time, **changes: Any) -> int | str:
        """Append a correction of a row: the changed values, the others as last said; the correction's id."""
        with self.writing() as connection:
            before = self._last_said(connection, table, id)
            return self._append(
                connection, table, {**before, **changes}, known, f"correction of {id}", corrects=id
            )

    def withdraw(self, table: str, id: int | str, *, known: Time, who: str = "") -> None:
        """Take a row back: from `known` on it is as if never said. The row itself stays in the file."""
        with self.writing() as connection:
            before = {**self._last_said(connection, table, id), "who": who}
            self._append(connection, table, before, known, f"withdrawal of {id}", corrects=id, withdrawn=True)

    def add_night(self, *, date: str, known: Time, calls: Sequence[Any] = (), **values: Any) -> int:
        """Append a night and give back its run.

        values: version, thresholds, weather_hash, book_hash, members, draws, exit_code.
        """
        with self.writing() as connection:
            seen = connection.execute("SELECT max(run) FROM nights WHERE date = ?", (date,)).fetchone()[0]
            run = 1 + (seen or 0)
            kept = json.dumps(list(calls), sort_keys=True)
            known_at = str(_moment(known, "known"))
            _insert(
                connection, "nights", {**values, "date": date, "run": run, "calls": kept, "known": known_at}
            )
            return run

    def add_message(self, *, known: Time, **values: Any) -> None:
        """Append a message: night, kind, recipient, headline, body, delivered, note."""
        with self.writing() as connection:
            _insert(connection, "messages", {**values, "known": str(_moment(known, "known"))})

    def add_threshold_version(
        self, *, version: str, known: Time, used: Sequence[str] = (), **values: Any
    ) -> None:
        """Append an adopted version of the thresholds: version, who, why, hash, ids of the evidence used."""
        known_at = str(_moment(known, "known"))
        row = {
            "adopted": known_at,
            **values,
            "version": version,
            "used": json.dumps(sorted(used)),
            "known": known_at,
        }
        with self.writing() as connection:
            _insert(connection, "threshold_versions", row)

    def _append(
        self,
        connection: sqlite3.Connection,
        table: str,
        given: Said,
        known: Time,
        where: str,
        corrects: int | str | None = None,
        withdrawn: bool = False,
    ) -> int | str:
        unknown = [name for name in given if name not in COLUMNS[table]]
        if unknown:
            close = nearest(unknown[0], COLUMNS[table])
            hint = f"did you mean {close}?" if close else ""
            raise BookError(Fault(where, f"{unknown[0]!r}", "one of " + ", ".join(COLUMNS[table]), hint))
        places = None if withdrawn else self.places
        c = checked(table, given, _moment(known, "known"), where, places)
        row = c.row
        if table == "plugs":
            _check_plug_links(connection, c)
            if corrects is None and not row["id"]:
                row["id"] = _next_id(connection, "plugs", "P")
        if table == "looks":
            _check_look_links(connection, c)
        if c.faults:
            raise BookError(c.faults)
        if corrects is not None:
            row |= {"corrects": corrects, "withdrawn": int(withdrawn)}
            row.pop("id", None)
            if table in ("plugs", "batches"):
                row["id"] = _next_id(connection, table, f"{corrects}/")
        return _insert(connection, table, row, where)

    def _last_said(self, connection: sqlite3.Connection, table: str, id: int | str) -> Row:
        if table not in CORRECTED:
            raise BookError(
                Fault(table, "a table that is not corrected", "one of " + ", ".join(CORRECTED), "")
            )
        names = [name for name in COLUMNS[table] if name != "known"]
        sql = f"SELECT {', '.join(names)}, corrects, withdrawn FROM {table} WHERE coalesce(corrects, id) = ?"
        found = connection.execute(f"{sql} ORDER BY rowid DESC LIMIT 1", (id,)).fetchone()
        if found is None or found[-1]:
            raise BookError(
                Fault(f"{table} {id}", "no such row", "the id of a row that stands", "list them first")
            )
        return {**dict(zip(names, found, strict=False)), "id": id}


def _moment(value: Time, name: str) -> np.datetime64:
    found = moment(value)
    if found is None:
        raise BookError(Fault(name, repr(value), "a UTC time such as 2025-01-14T09:00", ""))
    return found


def _next_id(connection: sqlite3.Connection, table: str, prefix: str) -> str:
    start = len(prefix) + 1
    sql = (
        f"SELECT max(CAST(substr(id, {start}) AS INTEGER)) FROM {table} WHERE substr(id, 1, {start - 1}) = ?"
    )
    return f"{prefix}{1 + (connection.execute(sql, (prefix,)).fetchone()[0] or 0)}"


def _insert(connection: sqlite3.Connection, table: str, row: Row, where: str = "") -> int | str:
    names = [name for name, value in row.items() if not (name == "id" and isinstance(value, int))]
    sql = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"
    try:
        cursor = connection.execute(sql, [row[name] for name in names])
    except sqlite3.IntegrityError as fault:
        found, move = f"a row the book cannot take ({fault})", "give it another id, or correct the first row"
        raise BookError(Fault(where or table, found, "a new row", move)) from fault
    return row["id"] if isinstance(row.get("id"), str) else int(cursor.lastrowid or 0)


def _check_plug_links(connection: sqlite3.Connection, c: Checked) -> None:
    batch = c.row.get("batch") or None
    c.row["batch"] = batch
    if batch is None:
        return
    known = [row[0] for row in connection.execute("SELECT id FROM batches WHERE corrects IS NULL")]
    if batch not in known:
        close = nearest(batch, known)
        c.fault(
            "batch", repr(batch), "a batch of the book", f"did you mean {close}?" if close else "add it first"
        )


def _check_look_links(connection: sqlite3.Connection, c: Checked) -> None:
    wanted = c.row["plug"]
    sql = "SELECT cut, withdrawn FROM plugs WHERE coalesce(corrects, id) = ? ORDER BY rowid DESC LIMIT 1"
    found = connection.execute(sql, (wanted,)).fetchone()
    if found is None or found[1]:
        known = [row[0] for row in connection.execute("SELECT id FROM plugs WHERE corrects IS NULL")]
        close = nearest(wanted, known)
        c.fault(
            "plug", repr(wanted), "a plug of the book", f"did you mean {close}?" if close else "add it first"
        )
    elif c.row["time"] is not None and c.row["time"] < found[0]:
        c.fault("time", f"{c.row['time']}, before the plug was cut ({found[0]})", "a look after the cut")
