"""The starter file on disk: never over an existing one, whole or not at all."""

import os
import tempfile
from pathlib import Path

from winterrisk.course.course_faults import COURSE_FILE, CourseFileError
from winterrisk.science.faults import Fault


def write_course(folder: str | Path, text: str) -> Path:
    """Path of the course file written into a folder, which is made where it is missing.

    Raises:
        CourseFileError: a course file is there already, or the folder cannot be written.
    """
    file = Path(folder) / COURSE_FILE
    try:
        if file.exists() or file.is_symlink():
            raise CourseFileError(
                Fault(
                    str(file),
                    "a course file already there",
                    "a folder without one",
                    "edit it, or name another folder",
                )
            )
        file.parent.mkdir(parents=True, exist_ok=True)
        write_whole(file, text)
    except OSError as fault:
        reason = (fault.strerror or "it cannot be written").lower()
        raise CourseFileError(
            Fault(str(file), reason, "a folder you may write", "check the name and its permissions")
        ) from fault
    return file


def write_whole(file: Path, text: str) -> None:
    """Write a file whole or not at all, with the rights a new file gets."""
    handle, name = tempfile.mkstemp(prefix=".course-", suffix=".toml", dir=file.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
        Path(name).chmod(0o666 & ~_umask())
        Path(name).replace(file)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
