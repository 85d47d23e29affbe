"""The archive of a course's weather: every delivery as it came, in one file, never changed and never lost."""

import hashlib
import json
import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.archive_cells import packed, unpacked
from winterrisk.weather.archive_schema import COLUMNS
from winterrisk.weather.receipts import Receipt, receipt_table
from winterrisk.weather.received import Received, joined
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.write_archive_file import LEAVE_IT, connect, connect_reading, told

FOLDER, FILE_NAME = "weather", "archive.sqlite"


class Archive:
    """An open archive; made by `open_archive`."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self._path = path

    def sources(self) -> tuple[str, ...]:
        """Names of all sources, in the order of their first delivery."""
        return tuple(
            row[0] for row in self._asked("SELECT source FROM receipts GROUP BY source ORDER BY min(id)")
        )

    def received(self, source: str) -> Received | None:
        """All that was received of a source, or None.

        Raises:
            WeatherError: a delivery in the file is damaged.
        """
        sql = f"SELECT {', '.join(COLUMNS)} FROM receipts WHERE source = ? ORDER BY id"
        parts = [self._part(row) for row in self._asked(sql, source)]
        return joined(parts) if parts else None

    def receipts(self, source: str | None = None) -> pd.DataFrame:
        """One row a delivery, in the order they came: source, known (UTC), assumed, set_back, new, changed, attrs.

        A delivery that brought nothing new stands here with new 0 and changed 0. See `receipts.moved` for a
        station that changed its place.

        Args:
            source: of this source only.
        """
        sql = "SELECT source, known, assumed, set_back, new, changed, attrs FROM receipts"
        rows = (
            self._asked(f"{sql} ORDER BY id")
            if source is None
            else self._asked(f"{sql} WHERE source = ?", source)
        )
        return receipt_table((row[0], Receipt(**_receipt(row))) for row in rows)

    def receive(
        self, source: str, raw: xr.Dataset, known: np.datetime64 | None, *, first_assumed: bool = False
    ) -> Receipt:
        """Keep a delivery: its new and changed values, or that it brought nothing; whole or not at all.

        Another run that writes at the same time is waited for, and its values count as received before.

        Args:
            source: name of the source, always the same. raw (time): as `read_station` gives it.
            known: UTC. first_assumed: the source's first delivery is a history of which nobody knows when it
                was known: each of its values counts as known 1 h after its interval, or at `known` (None: not on
                record either) if sooner.
        Raises:
            WeatherError: the file cannot be written, or the rows are of another step; nothing was kept.
        """
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                receipt = self._append(source, raw, known, first_assumed)
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise
        except sqlite3.Error as fault:
            raise told(self._path, fault) from fault
        return receipt

    def _append(
        self, source: str, raw: xr.Dataset, known: np.datetime64 | None, first_assumed: bool
    ) -> Receipt:
        before = self.received(source)
        if known is None and (before is not None or not first_assumed):
            raise ValueError("a delivery needs the time at which it was known, unless the first is assumed")
        if before is not None:
            part = before.news(raw, np.datetime64(known))
        elif first_assumed:
            part = Received.of(raw, None, source, came=known)
        else:
            part = Received.of(raw, known, source)
        receipt = part.receipts[-1]
        layout, cells = packed(part)
        row = (
            source,
            str(receipt.known),
            int(receipt.assumed),
            int(receipt.set_back),
            receipt.new,
            receipt.changed,
            json.dumps(dict(receipt.attrs), sort_keys=True, default=_plain),
            layout,
        )
        marks = ", ".join("?" * len(COLUMNS))
        sql = f"INSERT INTO receipts ({', '.join(COLUMNS)}) VALUES ({marks})"
        self._connection.execute(sql, (*row, _digest(row, cells), cells))
        return receipt

    def _part(self, row: tuple[Any, ...]) -> Received:
        *told_of, digest, cells = row
        try:
            if _digest(tuple(told_of), cells) != digest:
                raise ValueError("its check sum differs")
            return unpacked(row[0], _receipt(row), told_of[-1], cells)
        except (ValueError, KeyError, TypeError, zlib.error) as fault:
            found = f"a damaged delivery of {row[0]}, {row[1]} ({fault})"
            raise WeatherError(Fault(str(self._path), found, "it as it was received", LEAVE_IT)) from fault

    def _asked(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        try:
            return self._connection.execute(sql, values).fetchall()
        except sqlite3.Error as fault:
            raise told(self._path, fault, "every delivery as it was received") from fault


def has_archive(folder: str | Path) -> bool:
    """Whether a course folder has an archive."""
    return (Path(folder) / FOLDER / FILE_NAME).is_file()


@contextmanager
def open_archive(folder: str | Path, create: bool = True) -> Iterator[Archive]:
    """The archive `weather/archive.sqlite` of a course folder.

    With create=False it is only read: nothing is made or written, and the folder may be one that cannot be.

    Raises:
        WeatherError: no archive (create=False), a folder that cannot be written, a foreign or damaged file.
    """
    path = Path(folder) / FOLDER / FILE_NAME
    if not create and not path.is_file():
        raise WeatherError(Fault(str(path), "no archive", "one", "run `winterrisk nightly` once"))
    connection = connect(path) if create else connect_reading(path)
    try:
        yield Archive(connection, path)
    finally:
        connection.close()


def _receipt(row: tuple[Any, ...]) -> dict[str, Any]:
    _, known, assumed, set_back, new, changed, attrs, *_ = row
    return {
        "known": np.datetime64(known, "s"),
        "attrs": json.loads(attrs),
        "assumed": bool(assumed),
        "new": int(new),
        "changed": int(changed),
        "set_back": bool(set_back),
    }


def _digest(row: tuple[Any, ...], cells: bytes) -> str:
    return hashlib.sha256(json.dumps(row).encode() + cells).hexdigest()


def _plain(value: Any) -> Any:
    """What JSON has no word for, in one it has."""
    if isinstance(value, np.ndarray | np.generic) and not isinstance(value, np.datetime64):
        return value.tolist()
    return str(value)
