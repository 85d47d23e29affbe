"""Reads the last runs of a course from nights/log.csv."""

import csv
import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from winterrisk.watch.write_log import COLUMNS, NAME

LAST_BYTES: Final = 262144
"""How much of the log's end is read [bytes]: over a thousand runs."""


@dataclass(frozen=True)
class Run:
    """One run: when it began (UTC), of which night, whether of its own, how it ended, what it said."""

    started: dt.datetime
    on: dt.date | None
    tonight: bool
    exit: int
    said: str = ""


def read_log(folder: Path) -> list[Run]:
    """The last runs in the order in which they were written; lines that are no run are passed over."""
    path = folder / "nights" / NAME
    try:
        with path.open("rb") as file:
            size = path.stat().st_size
            file.seek(max(0, size - LAST_BYTES))
            lines = file.read(LAST_BYTES).decode("utf-8", errors="replace").split("\n")
    except OSError:
        return []
    runs = []
    for line in lines:
        try:
            cells = next(csv.reader([line]), [])
            row = dict(zip(COLUMNS, cells, strict=True))
            runs.append(
                Run(
                    dt.datetime.strptime(row["started"], "%Y-%m-%dT%H:%M:%SZ"),
                    dt.date.fromisoformat(row["on"]) if row["on"] else None,
                    row["tonight"] == "yes",
                    int(row["exit"]),
                    row["said"],
                )
            )
        except (ValueError, csv.Error):
            continue
    return runs
