"""docs/hazards.md names every hazard and shows its picture, and the pictures show what the functions give."""

import sys
import xml.etree.ElementTree as ElementTree
from functools import cache
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "hazards"))
from hazard_curves import pictures
from hazard_lines import Picture, cases, description
from turf_winters import turf, winter

from winterrisk import hazards
from winterrisk.thresholds import TABLE, Thresholds

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "hazards.md").read_text(encoding="utf-8")
NAMES = ("hardiness", *hazards.HAZARDS)
SVG = "{http://www.w3.org/2000/svg}"
REDRAW = "run python tests/docs/hazard_pictures.py"


@cache
def drawn() -> dict[str, Picture]:
    """The pictures by their hazard, worked when the first of them is asked for."""
    return {picture.hazard: picture for picture in pictures()}


def index_row(hazard: str) -> list[str]:
    (row,) = [line for line in PAGE.splitlines() if line.startswith(f"| `{hazard}` |")]
    return [cell.strip() for cell in row.strip("|").split("|")]


@pytest.mark.parametrize("hazard", hazards.HAZARDS)
def test_the_index_says_of_each_hazard_what_is_so(hazard: str) -> None:
    _, function, _, learned, status, source, _ = index_row(hazard)
    assert function == f"`hazards.{hazard}`"
    assert ("judged" in status) == (hazard in hazards.UNPUBLISHED)
    assert source
    rows = {name.strip(" `") for name in learned.split(",")} - {"none"}
    named = {row.name for row in TABLE.values() if row.learned}
    assert rows <= named
    dose = np.array([[-3.0, -3.0, -1.0, 0.0, 1.0, 2.0]]) if hazard == "wet_freeze" else np.array([0.9])
    values = Thresholds.defaults().values
    for row in named:
        changed = {key: 0.8 * v - 0.1 if key.split(".")[0] == row else v for key, v in values.items()}
        moved = hazards.chance(hazard, dose, changed, "annual_bluegrass")
        same = np.array_equal(moved, hazards.chance(hazard, dose, values, "annual_bluegrass"))
        assert same is (row not in rows), row


@pytest.mark.parametrize("hazard", NAMES)
def test_each_has_its_picture_with_words_made_of_the_plotted_numbers(hazard: str) -> None:
    assert f"(pictures/hazard_{hazard}.svg)" in PAGE
    root = ElementTree.parse(DOCS / "pictures" / f"hazard_{hazard}.svg").getroot()
    title, words = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text == drawn()[hazard].title, REDRAW
    assert words is not None and words.text == description(drawn()[hazard]), REDRAW


def test_every_picture_is_of_a_hazard_of_the_page() -> None:
    assert set(drawn()) == set(NAMES)


@pytest.mark.parametrize("hazard", NAMES)
def test_each_picture_has_curves_and_published_ranges(hazard: str) -> None:
    picture = drawn()[hazard]
    assert len(picture.lines) >= 2
    assert sum(len(r.at) for r in picture.ranges) >= 2
    for line in picture.lines:
        assert np.isfinite(line.y).all() and len(line.x) == len(line.y)
    for ranges in picture.ranges:
        assert all(cases()[name].citation for name in ranges.at)


def test_the_ice_curve_is_what_the_hazard_gives() -> None:
    """Worked again here, without the cases: 66 days of ice at -3 degC from -21.5."""
    harm = hazards.run(
        winter(np.full(66, -3.0), hours_sealed=24.0), turf("annual_bluegrass"), {}, start_kill=-21.5
    )
    dose = harm["dose_ice"].to_numpy()[0, -1, 0]
    dead = hazards.chance("ice", dose, Thresholds.defaults().values, "annual_bluegrass")
    (line,) = [li for li in drawn()["ice"].lines if li.label == "bluegrass (-21.5 °C)"]
    assert line.y[65] == pytest.approx(float(dead[0]), abs=1e-4)


def test_the_drying_curve_is_the_formula() -> None:
    """1/(1 + (days/25)^-4) at the table's values."""
    (line,) = [li for li in drawn()["drying"].lines if li.label == "bents, bluegrass"]
    half, steep = TABLE["drying_days"].value, TABLE["drying_steepness"].value
    assert line.y == pytest.approx(1.0 / (1.0 + (line.x / half) ** -steep), abs=1e-4)


def test_the_page_counts_the_cases() -> None:
    assert f"has {len(cases())} rows" in PAGE
