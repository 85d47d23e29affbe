"""Writes the stations that were chosen into the course file, once, beside what the owner wrote."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from winterrisk.course.course_faults import COURSE_FILE, CourseFileError
from winterrisk.course.read_course import course_from_text
from winterrisk.course.write_course import write_whole
from winterrisk.science.faults import Fault


def write_chosen(folder: str | Path, rows: Sequence[Mapping[str, Any]]) -> Path:
    """Path of the course file with `[[station.chosen]]` set to these rows; comments and order stay.

    Args:
        rows: keys of `Chosen`, one row a variable.
    Raises:
        CourseFileError: the file cannot be written, or would not read any more; it stays as it was.
    """
    file = Path(folder) / COURSE_FILE
    document = tomlkit.parse(file.read_text(encoding="utf-8"))
    tables = tomlkit.aot()
    for row in rows:
        table = tomlkit.table()
        for name, value in row.items():
            table.add(name, round(value, 4) if isinstance(value, float) else value)
        tables.append(table)
    station = document["station"]
    if "chosen" in station:  # type: ignore[operator]
        station.remove("chosen")  # type: ignore[union-attr]
    station.append("chosen", tables)  # type: ignore[union-attr]
    text = tomlkit.dumps(document)
    course_from_text(text)
    try:
        write_whole(file, text)
    except OSError as fault:
        reason = (fault.strerror or "it cannot be written").lower()
        move = "check its permissions"
        raise CourseFileError(Fault(str(file), reason, "a course file you may write", move)) from fault
    return file
