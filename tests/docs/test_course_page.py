"""docs/course_file.md says what the models check."""

from pathlib import Path

from winterrisk.course import course_file_reference
from winterrisk.course.area import Area, Zone
from winterrisk.course.course import Course
from winterrisk.course.section import known_keys
from winterrisk.course.station import Columns, Station

PAGE = Path(__file__).parents[2] / "docs" / "course_file.md"
WRITE = "from winterrisk.course import course_file_reference; print(course_file_reference(), end='')"


def test_the_page_is_what_the_models_say() -> None:
    assert PAGE.read_text(encoding="utf-8") == course_file_reference(), (
        f'run: python -c "{WRITE}" > {PAGE.name}'
    )


def test_every_section_and_key_has_its_line() -> None:
    page = PAGE.read_text(encoding="utf-8")
    for section in known_keys(Course):
        assert f"[{section}]" in page
    for model in (Area, Zone, Station, Columns):
        for key in known_keys(model):
            assert f"| `{key}` |" in page or key in ("zones", "columns", "chosen", "second"), key
