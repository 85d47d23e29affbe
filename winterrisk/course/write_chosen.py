"""Writes the stations that were chosen into the course file, once, beside what the owner wrote."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit

from winterrisk.course.course_faults import COURSE_FILE, CourseFileError
from winterrisk.course.read_course import course_from_text, read_course
from winterrisk.course.write_course import write_whole
from winterrisk.science.faults import Fault


def write_chosen(folder: str | Path, rows: Sequence[Mapping[str, Any]], *, replace: bool = False) -> Path:
    """Path of the course file with `[[station.chosen]]` set to these rows and `source = "meteostat"`; comments
    and order stay, the rows stand at its end.

    Args:
        rows: keys of `Chosen`, one row a variable; what is None is left out.
        replace: over stations that were chosen before; else these are kept and it is refused.
    Raises:
        CourseFileError: stations stand there already, the file cannot be written, or would not read any more;
            it stays as it was.
    """
    file = Path(folder) / COURSE_FILE
    if read_course(folder).station.chosen and not replace:
        move = "keep them, or delete every [[station.chosen]] to choose anew"
        raise CourseFileError(Fault(str(file), "stations chosen before", "none yet", move))
    before = file.read_bytes().decode("utf-8-sig")
    document = tomlkit.parse(before)
    station: Any = document["station"]
    if "chosen" in station:
        del station["chosen"]
    station["source"] = "meteostat"
    line = "\r\n" if "\r\n" in before else "\n"
    text = tomlkit.dumps(document).rstrip() + line + _tables(rows).replace("\n", line)
    try:
        course_from_text(text)
    except CourseFileError as fault:
        move = "write [station] on a line of its own and its keys below"
        raise CourseFileError(Fault(str(file), "no room for stations in [station]", "", move)) from fault
    try:
        write_whole(file, text)
    except OSError as fault:
        reason = (fault.strerror or "it cannot be written").lower()
        move = "check its permissions"
        raise CourseFileError(Fault(str(file), reason, "a course file you may write", move)) from fault
    return file


def _tables(rows: Sequence[Mapping[str, Any]]) -> str:
    """The rows as TOML."""
    parts = []
    for row in rows:
        table = tomlkit.document()
        for name, value in row.items():
            if value is not None:
                table.add(name, round(value, 4) if isinstance(value, float) else value)
        parts.append(f"\n[[station.chosen]]\n{tomlkit.dumps(table)}")
    return "".join(parts)
