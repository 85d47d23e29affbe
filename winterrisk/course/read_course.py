"""The course file from disk: every fault at once, one line each."""

import re
import tomllib
from pathlib import Path
from shlex import quote
from typing import Any, Final

from pydantic import ValidationError

from winterrisk.course.course import Course
from winterrisk.course.course_faults import COURSE_FILE, CourseFileError, course_faults
from winterrisk.science.faults import Fault
from winterrisk.science.read_capped import capped_bytes

LARGEST: Final = 1_000_000
"""Largest course file that is read [bytes] (judged)."""
_AT_LINE: Final = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")


def read_course(path: str | Path) -> Course:
    """The course of a folder that holds course.toml, or of the file itself.

    Raises:
        CourseFileError: the file is missing, cannot be read, or has faults; it carries all of them.
    """
    file = _course_file(Path(path))
    try:
        content = capped_bytes(file, LARGEST)
    except OSError as fault:
        reason = fault.strerror or "it cannot be read"
        raise CourseFileError(
            Fault(
                str(file), reason.lower(), "a file you may read", "check its permissions, then run this again"
            )
        ) from fault
    return course_from_text(_text(content), file.parent)


def course_from_text(text: str, folder: str | Path = "") -> Course:
    """The course a text in the form of course.toml describes.

    Args:
        text: content of the file.
        folder: the course folder; paths in the file start there.

    Raises:
        CourseFileError: carries every fault.
    """
    raw = _toml(text)
    try:
        return Course.model_validate(raw, context={"folder": folder})
    except ValidationError as error:
        raise CourseFileError(course_faults(error, raw, Course)) from error


def _course_file(path: Path) -> Path:
    if path.is_file():
        if path.suffix == ".toml":
            return path
        raise CourseFileError(
            Fault(str(path), "a file", f"a course folder, with {COURSE_FILE} in it", "name the folder")
        )
    if not path.is_dir():
        raise CourseFileError(
            Fault(
                str(path),
                "no such folder",
                "a course folder",
                f"check the name, or run `winterrisk new {quote(str(path))}`",
            )
        )
    file = path / COURSE_FILE
    if not file.exists():
        raise CourseFileError(
            Fault(
                str(path),
                f"no {COURSE_FILE}",
                "a course folder",
                f"run `winterrisk new {quote(str(path))}` to write a starter",
            )
        )
    return file


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content.count(b"\n", 0, fault.start) + 1
        raise CourseFileError(
            Fault(
                f"{COURSE_FILE} line {line}",
                f"a byte that is not UTF-8 text (0x{content[fault.start]:02x})",
                "a text file in UTF-8",
                "save it as UTF-8 in your editor",
            )
        ) from fault


def _toml(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise CourseFileError(_syntax_fault(str(fault), text)) from fault
    except (RecursionError, ValueError) as fault:
        raise CourseFileError(
            Fault(
                COURSE_FILE,
                "brackets or digits without end",
                "a course file",
                "look for a stray bracket or number",
            )
        ) from fault


def _syntax_fault(reason: str, text: str) -> Fault:
    lines = text.splitlines() or [""]
    match = _AT_LINE.search(reason)
    line = int(match[1]) if match and match[1] else len(lines)
    written = lines[line - 1].strip() if line <= len(lines) else ""
    said = _AT_LINE.sub("", reason).rstrip(".")
    found = f"`{written[:60]}`" if written else "an unfinished line"
    return Fault(
        f"{COURSE_FILE} line {line}",
        found,
        "key = value, with text between quotation marks",
        f"correct it ({said})",
    )
