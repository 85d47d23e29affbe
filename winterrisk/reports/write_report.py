"""Writes the files of one report to reports/NAME/, each whole or not at all."""

import shutil
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from winterrisk.reports.write_night import FolderError
from winterrisk.science.faults import Fault


def write_report(
    folder: Path, name: str, files: Mapping[str, str | bytes], *, outdated: Iterable[str] = ()
) -> Path:
    """Write the files of a report to reports/NAME/ of a course folder; returns that folder.

    Each file is written beside its place and moved there when whole.

    Args:
        outdated: files of the report before that this one does not write again: they are taken away.

    Raises:
        FolderError: the folder cannot be written.
    """
    target = folder / "reports" / name
    staging: Path | None = None
    try:
        target.mkdir(parents=True, exist_ok=True)
        staging = Path(tempfile.mkdtemp(prefix=".writing-", dir=target))
        for file, content in files.items():
            if isinstance(content, bytes):
                (staging / file).write_bytes(content)
            else:
                (staging / file).write_text(content, encoding="utf-8", newline="\n")
        for file in files:
            (staging / file).replace(target / file)
        for file in outdated:
            (target / file).unlink(missing_ok=True)
    except OSError as error:
        found = (error.strerror or "it cannot be written").lower()
        move = "allow writing there, or copy the course elsewhere"
        raise FolderError(Fault(str(target), found, "a folder that can be written", move)) from None
    finally:
        if staging is not None:
            shutil.rmtree(staging, ignore_errors=True)
    return target
