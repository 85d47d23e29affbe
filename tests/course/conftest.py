"""An invented course, small enough to change one line at a time."""

from collections.abc import Callable
from pathlib import Path

import pytest

PLAIN = """\
# Invented course, people and weather.
[place]
name = "Invented Hill"
latitude = 46.2
longitude = -94.3
elevation = 370.0
timezone = "America/Chicago"
invented = true

[[areas]]
name = "4"
turf = {annual_bluegrass = 0.6, creeping_bent = 0.4}

[[areas.zones]]
name = "low"
template = "low spot"
share = 0.3

[[areas.zones]]
name = "open"
template = "open"
share = 0.7

[station]
file = "station.csv"
"""


@pytest.fixture
def plain() -> str:
    """Text of a course file without faults."""
    return PLAIN


@pytest.fixture
def folder_with(tmp_path: Path) -> Callable[..., Path]:
    """Writes a course folder: folder_with(text), or with ("old", "new") replacements in the plain text."""

    def write(*changes: tuple[str, str], text: str = PLAIN) -> Path:
        for old, new in changes:
            assert old in text, f"the plain text has no {old!r}"
            text = text.replace(old, new, 1)
        (tmp_path / "course.toml").write_text(text, encoding="utf-8")
        return tmp_path

    return write
