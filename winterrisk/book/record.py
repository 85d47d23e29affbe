"""The record: what the book held at a given time, corrections resolved, as tables."""

import hashlib
import sqlite3
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.book.places import label
from winterrisk.book.schema import COLUMNS, CORRECTED, FLAGS, NUMBERS, TEXT_DATES, TIMES

ZONED = ("observations", "plugs", "surveys")
SEEN = ("observations", "plugs", "batches", "looks", "surveys")
"""Tables that bear on a night."""


@dataclass(frozen=True)
class Record:
    """Tables of the book with its columns; `zone` is the label ("4 low"), `area` stays beside it.

    Times are UTC without zone; text is never missing, numbers and times may be (NaN, NaT).
    """

    observations: pd.DataFrame
    plugs: pd.DataFrame
    batches: pd.DataFrame
    looks: pd.DataFrame
    surveys: pd.DataFrame
    decisions: pd.DataFrame
    nights: pd.DataFrame
    messages: pd.DataFrame
    thresholds: pd.DataFrame

    @classmethod
    def empty(cls) -> "Record":
        """A record of nothing."""
        return cls(*(_as_table(_table_of(f.name), []) for f in fields(cls)))

    def hash(self) -> str:
        """SHA-256 of everything people saw, cut and found: same rows, same hash."""
        digest = hashlib.sha256()
        for name in SEEN:
            text = getattr(self, name).to_csv(
                index=False, date_format="%Y-%m-%dT%H:%M:%S", lineterminator="\n"
            )
            digest.update(f"{name}\n{text}".encode())
        return digest.hexdigest()


def _table_of(field_name: str) -> str:
    return "threshold_versions" if field_name == "thresholds" else field_name


def _as_table(table: str, rows: list[tuple[Any, ...]]) -> pd.DataFrame:
    return _typed(table, rows) if rows else _empty(table).copy()


@cache
def _empty(table: str) -> pd.DataFrame:
    return _typed(table, [])


def _typed(table: str, rows: list[tuple[Any, ...]]) -> pd.DataFrame:
    names = list(COLUMNS[table])
    columns = dict(zip(names, zip(*rows, strict=True) if rows else ((),) * len(names), strict=True))
    if table in ZONED:
        columns["zone"] = tuple(label(*place) for place in zip(columns["area"], columns["zone"], strict=True))
    return pd.DataFrame({name: _column(table, name, values) for name, values in columns.items()})


def _column(table: str, name: str, values: tuple[Any, ...]) -> Any:
    if name in TIMES and (table, name) not in TEXT_DATES:
        return pd.to_datetime(list(values), format="ISO8601").astype("datetime64[s]")
    if name in NUMBERS:
        return np.array(values, dtype="float64")
    if name in FLAGS:
        return np.array(values, dtype=bool)
    if values and all(isinstance(value, int) for value in values):
        return np.array(values, dtype="int64")
    return pd.array(["" if value is None else str(value) for value in values], dtype="str")


def _latest(table: str) -> str:
    """SQL for the last word of each line of corrections known by a time, under the id of its first row."""
    names = ", ".join("first AS id" if name == "id" else name for name in COLUMNS[table])
    return (
        f"WITH said AS (SELECT *, rowid AS place, coalesce(corrects, id) AS first FROM {table} "
        f"WHERE known <= :known), "
        f"line AS (SELECT *, max(place) OVER (PARTITION BY first) AS last, "
        f"min(place) OVER (PARTITION BY first) AS start FROM said) "
        f"SELECT {names} FROM line WHERE place = last AND NOT withdrawn ORDER BY start"
    )


def read_record(connection: sqlite3.Connection, known_by: np.datetime64 | None = None) -> Record:
    """The record of what was known by a time (UTC); of everything where None."""
    limit = "9999" if known_by is None else str(np.datetime64(known_by, "s"))
    tables = []
    alone = not connection.in_transaction
    if alone:
        connection.execute("BEGIN")
    try:
        for field in fields(Record):
            table = _table_of(field.name)
            if table in CORRECTED:
                sql = _latest(table)
            else:
                sql = f"SELECT {', '.join(COLUMNS[table])} FROM {table} WHERE known <= :known ORDER BY rowid"
            tables.append(_as_table(table, connection.execute(sql, {"known": limit}).fetchall()))
    finally:
        if alone:
            connection.execute("COMMIT")
    return Record(*tables)
