"""An invented course folder with a book."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from winterrisk.book import Book, Places, open_book

COURSE = """
# Invented course.
[place]
name = "Invented Links"
latitude = 46.2
longitude = -94.1
elevation = 380
timezone = "America/Chicago"
invented = true

[[areas]]
name = "4"
kind = "green"
zones = [{name = "low", template = "low spot"}, {name = "ridge", template = "ridge"}]

[[areas]]
name = "9"
kind = "green"
zones = [{name = "afternoon shade", template = "afternoon shade"}, {name = "open", template = "open"}]

[[areas]]
name = "12"
kind = "green"
zones = [{name = "drain side", template = "drain side"}, {name = "low", template = "low spot"}]

[[areas]]
name = "practice"
kind = "green"
zones = [{name = "ridge", template = "ridge"}, {name = "collar dam", template = "collar dam"}]

[station]
file = "station.csv"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    home = tmp_path / "invented links"
    home.mkdir()
    (home / "course.toml").write_text(COURSE, encoding="utf-8")
    return home


@pytest.fixture
def book(folder: Path) -> Iterator[Book]:
    with open_book(folder) as opened:
        yield opened


@pytest.fixture
def places() -> Places:
    return Places(
        {
            "4": ("low", "ridge"),
            "9": ("afternoon shade", "open"),
            "12": ("drain side", "low"),
            "practice": ("ridge", "collar dam"),
        }
    )
