"""Reads the proposal and the history of a course's thresholds."""

from pathlib import Path

import pandas as pd

from winterrisk.book import open_book
from winterrisk.calibration.proposal import Proposal, from_trail
from winterrisk.calibration.write_proposed import PROPOSED_FOLDER
from winterrisk.science.faults import Fault, Refused
from winterrisk.thresholds import Thresholds
from winterrisk.thresholds.read_thresholds import NAME, VERSIONS, draws_hash, version_folder


class NoProposalError(Refused):
    """There is nothing to preview or adopt."""


def read_proposed(course: Path) -> Proposal:
    """The proposal that `fit` or `set` wrote.

    Raises:
        NoProposalError: there is none.
        ThresholdsError: it was changed by hand.
    """
    folder = course / PROPOSED_FOLDER
    if not (folder / NAME).exists():
        move = "run `winterrisk tune DIR fit` or `winterrisk tune DIR set NAME VALUE` first"
        raise NoProposalError(Fault(str(folder), "no proposal", "proposed thresholds", move))
    return from_trail(Thresholds.read(folder))


def has_proposal(course: Path) -> bool:
    """Whether `fit` or `set` has written one."""
    return (course / PROPOSED_FOLDER / NAME).exists()


def version_names(course: Path) -> list[str]:
    """Names of every version that was kept, oldest first."""
    folder = course / VERSIONS
    return sorted(p.name for p in folder.iterdir() if (p / NAME).exists()) if folder.is_dir() else []


def read_version(course: Path, name: str) -> Thresholds:
    """An adopted version by its name, as it stood."""
    return Thresholds.read(version_folder(course, name))


def history(course: Path) -> pd.DataFrame:
    """Adoptions and undos in order: version, adopted, who, why, used (how many), stands (bool)."""
    with open_book(course, create=False) as book:
        rows = book.record().thresholds
    path = course / NAME
    now = draws_hash(path.read_bytes()) if path.exists() else ""
    table = rows.loc[:, ["version", "adopted", "who", "why"]].copy()
    table["used"] = [0 if text in ("", "[]") else text.count(",") + 1 for text in rows["used"]]
    table["stands"] = False
    if len(rows):
        table.loc[table.index[-1], "stands"] = rows["hash"].iloc[-1] == now
    return table
