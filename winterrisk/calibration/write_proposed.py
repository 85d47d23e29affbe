"""Writes a proposal beside the reports, where a person looks at it before adopting."""

from pathlib import Path

from winterrisk.calibration.proposal import PROPOSED, Adoptable, with_trail
from winterrisk.calibration.write_pair import pair_of, write_folder

PROPOSED_FOLDER = "reports/proposed_thresholds"


def write_proposed(proposed: Adoptable, course: Path) -> Path:
    """Write a proposal (thresholds.toml and draws) over the one before; its folder."""
    folder = course / PROPOSED_FOLDER
    write_folder(folder, pair_of(with_trail(proposed, PROPOSED)))
    return folder
