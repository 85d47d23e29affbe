"""Reads the thresholds a course has adopted."""

import csv
import hashlib
import re
import tomllib
from pathlib import Path
from types import MappingProxyType
from typing import Final

import numpy as np

from winterrisk.science.faults import Fault, nearest
from winterrisk.science.read_capped import capped_bytes, capped_text
from winterrisk.thresholds.seal import SEAL, seal_of
from winterrisk.thresholds.table import TABLE
from winterrisk.thresholds.thresholds import DEFAULTS, Thresholds, ThresholdsError

NAME, DRAWS_NAME = "thresholds.toml", "thresholds_draws.csv"
VERSIONS, CHANGING = "thresholds_versions", "changing.txt"
"""Folder of every version, one folder each; in it, while one takes another's place, the old one's name."""
TRAIL = ("adopted", "who", "why", "before", "basis", "refused", "override", "draws_sha256")


VERSION_NAME: Final = re.compile(r"\w[\w .+()-]{0,99}")
"""Names of versions: they become names of folders, and lead nowhere else."""


def version_folder(course: Path, name: str) -> Path:
    """The folder of a version among the versions of a course.

    Raises:
        ThresholdsError: a name that is none of a version.
    """
    if not VERSION_NAME.fullmatch(name):
        raise ThresholdsError(Fault(VERSIONS, f"a version called {name[:80]!r}", _VERSION, _RESTORE))
    return course / VERSIONS / name


_VERSION: Final = "a name of letters, digits, blanks and hyphens"
_RESTORE: Final = "restore thresholds.toml and thresholds_versions from a backup"


def draws_hash(text: bytes) -> str:
    """SHA-256 of a draws file: written in thresholds.toml so that neither is changed alone."""
    return hashlib.sha256(text).hexdigest()


def read_thresholds(folder: Path) -> Thresholds:
    """The adopted thresholds of a course folder, or the table's defaults where none were adopted.

    Raises:
        ThresholdsError: unreadable file, unknown or impossible values (all at once), draws that do not
            belong to the file, or a file changed by hand.
    """
    changing = Path(folder) / VERSIONS / CHANGING
    if changing.exists():
        try:
            before = capped_text(changing).strip()
        except (OSError, UnicodeDecodeError) as error:
            raise ThresholdsError(Fault(str(changing), str(error), _VERSION, _RESTORE)) from None
        return (
            Thresholds.defaults()
            if before == DEFAULTS
            else read_thresholds(version_folder(Path(folder), before))
        )
    path = Path(folder) / NAME
    if not path.exists():
        return Thresholds.defaults()
    again = "restore it with `winterrisk tune DIR undo`, or adopt again"
    by_hand = (
        "restore it with `winterrisk tune DIR undo`, or take it over with "
        '`winterrisk tune DIR adopt --by-hand --who NAME --why "..."`'
    )
    try:
        document = tomllib.loads(capped_text(path))
    except OSError as error:
        reason = (error.strerror or "it cannot be read").lower()
        raise ThresholdsError(Fault(str(path), reason, "a TOML file as `tune` writes it", again)) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise ThresholdsError(
            Fault(str(path), str(error), "a TOML file as `tune` writes it", again)
        ) from None
    faults = []
    flat = flat_values(document.get("values", {}))
    for key, value in flat.items():
        row = TABLE.get(key)
        if row is None:
            close = nearest(key, TABLE)
            faults.append(
                Fault(
                    f"{NAME} values.{key}",
                    "an unknown name",
                    "a name of the table",
                    f"nearest is {close}" if close else again,
                )
            )
        elif not isinstance(value, int | float) or not row.low <= value <= row.high:
            faults.append(
                Fault(f"{NAME} values.{key}", f"{value}", f"{row.low:g} to {row.high:g} {row.unit}", again)
            )
    for key in ("version", "before"):
        name = str(document.get(key, DEFAULTS))
        if not VERSION_NAME.fullmatch(name):
            faults.append(Fault(f"{NAME} {key}", repr(name[:80]), _VERSION, again))
    joint: dict[str, np.ndarray] = {}
    wanted = document.get("draws_sha256", "")
    draws_path = Path(folder) / DRAWS_NAME
    if wanted:
        text = capped_bytes(draws_path) if draws_path.exists() else b""
        if draws_hash(text) != wanted:
            faults.append(
                Fault(
                    DRAWS_NAME,
                    "draws that do not belong to thresholds.toml",
                    "the file written with it",
                    again,
                )
            )
        else:
            rows = list(csv.reader(text.decode().splitlines()))
            table = np.array(rows[1:], dtype=np.float64)
            joint = {name: table[:, i] for i, name in enumerate(rows[0])}
    if not faults and document.get(SEAL) != seal_of(document):
        faults.append(Fault(NAME, "changes made by hand, or no seal", "the file as `tune` wrote it", by_hand))
    if faults:
        raise ThresholdsError(faults)
    values = {**Thresholds.defaults().values, **{k: float(v) for k, v in flat.items()}}
    trail = {k: str(document[k]) for k in TRAIL if k in document}
    return Thresholds(
        MappingProxyType(values),
        joint,
        str(document.get("version", "unnamed")),
        frozenset(document.get("used", [])),
        trail,
    )


def flat_values(table: dict[str, object], before: str = "") -> dict[str, object]:
    """Values of a TOML table by dotted key."""
    flat: dict[str, object] = {}
    for key, value in table.items():
        name = f"{before}{key}"
        flat |= flat_values(value, f"{name}.") if isinstance(value, dict) else {name: value}
    return flat
