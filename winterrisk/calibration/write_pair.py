"""Writes thresholds.toml and thresholds_draws.csv as a pair that is never half there."""

import os
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from winterrisk.thresholds import Thresholds
from winterrisk.thresholds.read_thresholds import (
    CHANGING,
    DRAWS_NAME,
    NAME,
    VERSIONS,
    draws_hash,
    version_folder,
)

Pair = Mapping[str, bytes | None]
"""File name -> contents, None where the file is not there."""

NOTHING: Pair = {DRAWS_NAME: None, NAME: None}
"""The pair of the defaults."""


def draws_text(joint: Mapping[str, NDArray[np.float64]]) -> str:
    """The joint draws as CSV: one column a row of the table, every number exact."""
    lines = [
        ",".join(joint),
        *(",".join(repr(float(v)) for v in draw) for draw in zip(*joint.values(), strict=True)),
    ]
    return "\n".join(lines) + "\n"


def pair_of(thresholds: Thresholds) -> Pair:
    """The two files of a version; the hash of the draws stands in the first."""
    trail = {key: text for key, text in thresholds.trail.items() if key != "draws_sha256"}
    draws = None
    if thresholds.joint:
        draws = draws_text(thresholds.joint).encode()
        trail["draws_sha256"] = draws_hash(draws)
    sealed = replace(thresholds, trail=MappingProxyType(trail))
    return {DRAWS_NAME: draws, NAME: sealed.to_toml().encode()}


def pair_in(folder: Path) -> Pair:
    """The two files as they stand in a folder."""
    return {name: (folder / name).read_bytes() if (folder / name).exists() else None for name in NOTHING}


def write_file(path: Path, contents: bytes | None) -> None:
    """Put contents in place of a file, whole or not at all; None takes the file away."""
    if contents is None:
        path.unlink(missing_ok=True)
        return
    handle, staged = tempfile.mkstemp(prefix=".writing-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(contents)
            file.flush()
            os.fsync(file.fileno())
        Path(staged).chmod(0o644)
        Path(staged).replace(path)
    except BaseException:
        Path(staged).unlink(missing_ok=True)
        raise


def write_folder(folder: Path, pair: Pair) -> None:
    """Write a pair as a folder of its own, in place of one that is there."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    staged = Path(tempfile.mkdtemp(prefix=".writing-", dir=folder.parent))
    try:
        for name, contents in pair.items():
            write_file(staged / name, contents)
        staged.chmod(0o755)
        if folder.exists():
            shutil.rmtree(folder)
        staged.replace(folder)
    finally:
        shutil.rmtree(staged, ignore_errors=True)


def switch(course: Path, before: str, pair: Pair) -> None:
    """Put a pair in the place of the version that stands.

    While the two files change, a note in the versions' folder names the version before; whoever reads the
    thresholds then, or after a crash, reads that one from its own folder. Taking the note away is the one
    step that adopts.

    Args:
        before: name of a version kept in the versions' folder, or "defaults".
    """
    note = course / VERSIONS / CHANGING
    note.parent.mkdir(exist_ok=True)
    write_file(note, f"{before}\n".encode())
    for name, contents in pair.items():
        write_file(course / name, contents)
    note.unlink()


def finish_broken_switch(course: Path) -> None:
    """Go back to the version before, where a switch was cut short."""
    note = course / VERSIONS / CHANGING
    if note.exists():
        before = note.read_text(encoding="utf-8").strip()
        kept = version_folder(course, before)
        switch(course, before, pair_in(kept) if kept.is_dir() else NOTHING)
