"""Appends one row a run to nights/log.csv: when, how it ended, and how long each step took."""

import csv
import io
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from winterrisk.watch.steps import STEPS

NAME: Final = "log.csv"
COLUMNS: Final = (
    "started", "version", "on", "tonight", "exit", "looks", "pulls", "acts", "cannot_say", "age_hours", "missed",
    "compiling", "seconds", *(f"{step}_seconds" for step in STEPS), "memory_mb", "said",
)  # fmt: skip
"""started: UTC; tonight: whether the run was that of its own night; missed: nights before it that nobody worked;
said: the first line where it was refused or failed. Times are those of the machine, no part of the night."""
LONGEST: Final = 300
"""Characters kept of what a run said (judged)."""


def write_log(folder: Path, row: Mapping[str, Any]) -> None:
    """Append a row, in one write; a line that a power cut left unfinished stays a line of its own.

    Raises:
        OSError: it cannot be written.
    """
    path = folder / "nights" / NAME
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow([_cell(row.get(name, "")) for name in COLUMNS])
    file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o644)
    try:
        size = os.fstat(file).st_size
        begin = ",".join(COLUMNS) + "\n" if size == 0 else ""
        if size:
            os.lseek(file, size - 1, os.SEEK_SET)
            begin = "" if os.read(file, 1) == b"\n" else "\n"
        os.write(file, (begin + text.getvalue()).encode("utf-8"))
    finally:
        os.close(file)


def memory_mb() -> int | str:
    """The most memory this process ever had [MB]; empty where the system does not tell."""
    try:
        import resource
    except ImportError:
        return ""
    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def _cell(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.2f}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(str(value).split())[:LONGEST]
