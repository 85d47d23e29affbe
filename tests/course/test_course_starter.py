"""The starter reads without a fault as written, and with every suggested line taken in."""

import re
import stat
import tomllib
from pathlib import Path
from typing import Any

import pytest

from winterrisk.course import PRESETS, CourseFileError, course_from_text, read_course, starter, write_course

PLACE: dict[str, Any] = {
    "name": "Invented Fjord",
    "latitude": 60.1,
    "longitude": 5.4,
    "elevation": 40.0,
    "timezone": "Europe/Oslo",
}


@pytest.mark.parametrize("preset", [None, *PRESETS])
@pytest.mark.parametrize("place", [None, PLACE])
def test_the_starter_reads_without_a_fault(preset: str | None, place: dict[str, Any] | None) -> None:
    course = course_from_text(starter(place, preset, greens=3))
    assert course.zone_labels() == ("1 low", "1 open", "2 low", "2 open", "3 low", "3 open")
    assert course.place.preset == preset
    assert course.place.invented == (place is None), "only a place nobody gave is marked"
    assert course.place.latitude == (46.0 if place is None else 60.1)


@pytest.mark.parametrize("preset", [None, *PRESETS])
def test_every_suggested_line_may_be_taken_in(preset: str | None) -> None:
    text = starter(preset=preset)
    full = re.sub(r"^#(?=[\[a-z])", "", text, flags=re.MULTILINE)
    course = course_from_text(full)
    assert {
        "turf",
        "gauge",
        "forecast",
        "plug_room",
        "crew",
        "people",
        "money",
        "calendar",
        "past_injury",
    } <= set(tomllib.loads(full))
    as_written = course_from_text(text)
    for section in ("gauge", "forecast", "plug_room", "crew", "money", "calendar"):
        suggested, default = getattr(course, section), getattr(as_written, section)
        same = suggested.model_dump() | {"contact": ""} if section == "forecast" else suggested.model_dump()
        assert same == default.model_dump(), f"{section}: the starter suggests what is assumed anyway"


def test_a_name_with_odd_letters_survives() -> None:
    place = {**PLACE, "name": "Ås l'Invention (é) 2"}
    assert course_from_text(starter(place)).place.name == "Ås l'Invention (é) 2"


def test_it_is_written_whole_into_a_new_folder(tmp_path: Path) -> None:
    folder = tmp_path / "a new" / "folder"
    file = write_course(folder, starter())
    assert file == folder / "course.toml"
    assert read_course(folder).zone_labels() == ("1 low", "1 open", "2 low", "2 open")
    assert [path.name for path in folder.iterdir()] == ["course.toml"], "no scraps beside it"
    (tmp_path / "usual").touch()
    assert stat.S_IMODE(file.stat().st_mode) == stat.S_IMODE((tmp_path / "usual").stat().st_mode)


def test_an_existing_file_is_never_written_over(tmp_path: Path) -> None:
    write_course(tmp_path, "# mine\n")
    with pytest.raises(CourseFileError, match="already there"):
        write_course(tmp_path, starter())
    assert (tmp_path / "course.toml").read_text() == "# mine\n"


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(CourseFileError) as refusal:
        write_course(tmp_path / "file" / "folder", starter())
    assert "directory" in str(refusal.value) and "\n" not in str(refusal.value)
