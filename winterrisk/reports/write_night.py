"""Writes a night to its folder, whole or not at all, and never over what was said before."""

import json
import os
import re
import shutil
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from winterrisk.science.faults import Fault, Refused
from winterrisk.science.read_capped import capped_text

DATE: Final = re.compile(r"\d{4}-\d{2}-\d{2}")
STAGING: Final = ".writing-"
LEFT_OVER: Final = 86400.0
"""Age from which a half-written night of a run that was stopped is swept away [s] (judged)."""


class FolderError(Refused):
    """A folder that cannot be written."""


def as_json(value: Mapping[str, Any]) -> str:
    """The value as stable JSON text: two spaces, plain letters kept, a final newline."""
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


def written_nights(folder: Path, on: str) -> list[Path]:
    """The folders of one date in the order in which they were written."""
    first = folder / "nights" / on
    if not (first / "used.json").exists():
        return []
    later = sorted((p for p in first.iterdir() if p.is_dir() and p.name.isdigit()), key=lambda p: int(p.name))
    return [first, *(p for p in later if (p / "used.json").exists())]


def previous_night(folder: Path, on: str) -> dict[str, Any] | None:
    """What the last written night before `on` (ISO date) said, or None; a record that is damaged is passed over."""
    nights = folder / "nights"
    if not nights.is_dir():
        return None
    dates = sorted(p.name for p in nights.iterdir() if p.is_dir() and DATE.fullmatch(p.name) and p.name < on)
    for date in reversed(dates):
        for run in reversed(written_nights(folder, date)):
            try:
                loaded: dict[str, Any] = json.loads(capped_text(run / "night.json"))
                if (
                    loaded["on"] == date
                    and loaded["winter"]
                    and {"calls", "cannot_say", "data"} <= set(loaded)
                ):
                    return loaded
            except (OSError, ValueError, KeyError, TypeError, RecursionError):
                continue
    return None


def refuse_unwritable(folder: Path) -> None:
    """Nothing, where nights can be written in a course folder.

    Raises:
        FolderError: `nights` is no folder, or cannot be written.
    """
    nights = folder / "nights"
    if nights.exists() and not nights.is_dir():
        raise FolderError(Fault(str(nights), "a file", "a folder for the nights", "move the file elsewhere"))
    if not os.access(nights if nights.exists() else folder, os.W_OK | os.X_OK):
        move = "give yourself the right to write there, or copy the course folder"
        raise FolderError(
            Fault(str(nights), "a folder that cannot be written", "a writable course folder", move)
        )


def write_night(
    folder: Path, on: str, files: Mapping[str, str], used: Mapping[str, Any]
) -> tuple[Path, bool]:
    """Write the files of a night; returns its folder and whether anything new was written.

    The first run of a date owns `nights/DATE/`; a run with other inputs goes to `nights/DATE/2/` and so on;
    a run with the same inputs writes nothing.

    Raises:
        FolderError: the folder cannot be written.
    """
    wanted = as_json(used)
    runs = written_nights(folder, on)
    for run in runs:
        if (run / "used.json").read_bytes() == wanted.encode("utf-8"):
            return run, False
    target = folder / "nights" / on
    if runs:
        target = target / str(len(runs) + 1)
    refuse_unwritable(folder)
    try:
        _write_whole(folder / "nights", target, {**files, "used.json": wanted})
    except OSError as error:
        found = (error.strerror or "a fault in writing").lower()
        move = "make room and check the permissions there, then run this again"
        raise FolderError(Fault(str(target), found, "a folder that can be written", move)) from error
    return target, True


def _write_whole(nights: Path, target: Path, files: Mapping[str, str]) -> None:
    nights.mkdir(exist_ok=True)
    _sweep(nights)
    staging = Path(tempfile.mkdtemp(prefix=STAGING, dir=nights))
    try:
        for name, text in files.items():
            (staging / name).write_text(text, encoding="utf-8")
        staging.chmod(0o755)
        if target.exists():
            for name in files:
                (staging / name).replace(target / name)
        else:
            staging.replace(target)
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _sweep(nights: Path) -> None:
    for left in nights.glob(f"{STAGING}*"):
        if time.time() - left.stat().st_mtime > LEFT_OVER:
            shutil.rmtree(left, ignore_errors=True)
