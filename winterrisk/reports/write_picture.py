"""Writes a picture into the reports of a course folder."""

import io
from pathlib import Path

from matplotlib.figure import Figure

from winterrisk.reports.write_night import FolderError
from winterrisk.science.faults import Fault

DOTS = 150
"""Dots an inch of the picture."""


def write_picture(folder: Path, figure: Figure, name: str) -> Path:
    """Path of the picture `reports/<name>.png`, written whole or not at all.

    Raises:
        FolderError: the folder cannot be written.
    """
    target = folder / "reports" / f"{name}.png"
    image = io.BytesIO()
    figure.savefig(image, format="png", dpi=DOTS, metadata={"Software": None})
    try:
        target.parent.mkdir(exist_ok=True)
        staging = target.with_name(f".writing-{name}.png")
        staging.write_bytes(image.getvalue())
        staging.replace(target)
    except OSError as error:
        found = (error.strerror or "a fault in writing").lower()
        move = "make room and check the permissions there, then run this again"
        raise FolderError(Fault(str(target), found, "a folder that can be written", move)) from error
    return target
