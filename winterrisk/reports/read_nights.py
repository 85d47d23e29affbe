"""Reads what past nights said, as they said it first."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from winterrisk.reports.write_night import DATE, written_nights
from winterrisk.science.faults import Fault, Refused
from winterrisk.science.read_capped import capped_text


def night_dates(folder: Path) -> tuple[str, ...]:
    """Dates (ISO) of the nights on file, in order."""
    nights = folder / "nights"
    if not nights.is_dir():
        return ()
    return tuple(sorted(p.name for p in nights.iterdir() if p.is_dir() and DATE.fullmatch(p.name)))


def read_nights(folder: Path) -> Iterator[dict[str, Any]]:
    """The record of the first run of every night on file, in order of dates.

    Raises:
        Refused: a record that cannot be read.
    """
    for date in night_dates(folder):
        for run in written_nights(folder, date)[:1]:
            path = run / "night.json"
            try:
                record: dict[str, Any] = json.loads(capped_text(path))
            except (OSError, ValueError) as fault:
                move = f"take it from a backup, or work it anew: winterrisk nightly {folder} --on {date}"
                raise Refused(Fault(str(path), str(fault), "a night as it was written", move)) from None
            yield record
