"""The field sheet: one page, every plug asked for, every caution, words that fit their boxes."""

import datetime as dt
import re
from pathlib import Path
from typing import Any

import pytest
from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg

from winterrisk.book import Places, noted
from winterrisk.course import course_from_text
from winterrisk.reports.field_sheet import CARE, HOW, MOST_ROWS, field_sheet, zones_in_order
from winterrisk.reports.figures import SETTINGS
from winterrisk.reports.write_field_sheet import page, write_field_sheet
from winterrisk.reports.write_night import FolderError

COURSE = """
# Invented course.
[place]
name = "Invented Links"
latitude = 46.2
longitude = -94.1
elevation = 380
timezone = "America/Chicago"
units = "UNITS"
invented = true

[[areas]]
name = "4"
kind = "green"
[[areas.zones]]
name = "open"
template = "open"
[[areas.zones]]
name = "ridge"
template = "ridge"
[[areas.zones]]
name = "low"
template = "low spot"

[[areas]]
name = "practice"
kind = "green"
[[areas.zones]]
name = "afternoon shade"
template = "afternoon shade"
[[areas.zones]]
name = "irrigation low"
template = "irrigation low"

[station]
file = "station.csv"

[[past_injury]]
winter = "2018-19"
area = "4"
zone = "ridge"
dead = 0.4
cause = "cold"
"""
DAY = dt.date(2025, 2, 11)


def course(units: str = "metric") -> Any:
    return course_from_text(COURSE.replace("UNITS", units), Path())


def night(plugs: int) -> dict[str, Any]:
    spots = [f"strip {i} of {plugs} from the low edge, 2 m off the collar" for i in range(1, plugs + 1)]
    call = {"kind": "pull", "zone": "4 low", "number": plugs, "spots": spots}
    look = {"kind": "look", "zone": "4 open", "number": 1, "spots": []}
    return {
        "on": "2025-02-10",
        "calls": [call, look],
        "data": {"zones": [{"zone": "4 low", "days_under_ice": 41.2}]},
    }


def test_the_plugs_the_night_called_for_and_a_control() -> None:
    sheet = field_sheet(course(), DAY, night(3), control="4 open")
    assert [f"{r.zone} {r.mark}" for r in sheet.rows] == ["4 low A1", "4 low A2", "4 low A3", "4 open C1"]
    assert sheet.rows[0].label(DAY) == "4 low A1, 2025-02-11, day 41 under ice" and sheet.rows[-1].control
    assert sheet.heading == "Invented Links: plugs to cut, Tue 11 Feb 2025" and "2025-02-10" in sheet.why


def test_without_a_call_zones_come_by_history_then_drainage_then_shade() -> None:
    assert zones_in_order(course())[0] == "4 ridge"
    sheet = field_sheet(course(), DAY)
    assert [r.zone for r in sheet.rows[:-1]] == list(zones_in_order(course())) and len(sheet.rows) == 6
    order = zones_in_order(course())
    assert order.index("4 low") < order.index("4 open") and order.index(
        "practice afternoon shade"
    ) < order.index("4 open")


def test_more_plugs_than_a_page_holds_are_said() -> None:
    sheet = field_sheet(course(), DAY, night(20))
    assert len(sheet.rows) == MOST_ROWS and sheet.left_out == 20 - MOST_ROWS + 1 and sheet.rows[-1].control


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_line_to_type_is_one_the_book_understands(units: str) -> None:
    sheet = field_sheet(course(units), DAY, night(3))
    places = Places.of(course())
    said = noted(sheet.typed, places, DAY)
    assert (
        said.table == "plugs"
        and said.values["crowns"] == "yes"
        and said.values["depth_mm"] == pytest.approx(50, abs=1)
    )
    assert 15 < said.values["ice_mm"] < 25


def test_every_caution_and_step_is_on_it() -> None:
    said = " ".join((*HOW, *CARE)).casefold()
    for words in (
        "scraping", "6 mm", "50 mm", "hole saw", "side", "5 cm", "crowns: no", "sand", "snow back", "cool",
        "south sill",
        "lamp", "several times a day", "control", "glasses", "side handle", "footing", "wind chill", "pairs", "ponds",
        "slope", "carbon monoxide", "fungicide", "gloves", "kitchen", "label and local rules", "water", "hearts",
    ):  # fmt: skip
        assert words in said, words
    assert not re.search(r"\b(safe|guaranteed)\b", said)


@pytest.mark.parametrize(("units", "plugs"), [("metric", 3), ("metric", 20), ("us", 20)])
def test_all_words_lie_on_the_page_and_none_on_another(units: str, plugs: int) -> None:
    sheet = field_sheet(course(units), DAY, night(plugs), control="practice afternoon shade")
    with rc_context(SETTINGS):
        drawn = page(sheet)
        canvas = FigureCanvasAgg(drawn)
        canvas.draw()
        boxes = [text.get_window_extent(canvas.get_renderer()) for text in drawn.axes[0].texts]
    width, height = drawn.bbox.width, drawn.bbox.height
    assert all(b.x0 >= 0 and b.y0 >= 0 and b.x1 <= width and b.y1 <= height for b in boxes)
    overlaps = [
        (drawn.axes[0].texts[i].get_text(), drawn.axes[0].texts[j].get_text())
        for i, a in enumerate(boxes)
        for j, b in enumerate(boxes[:i])
        if min(a.x1, b.x1) - max(a.x0, b.x0) > 1 and min(a.y1, b.y1) - max(a.y0, b.y0) > 2
    ]
    assert overlaps == []


def test_it_is_one_page_and_the_same_sheet_the_same_bytes(tmp_path: Path) -> None:
    sheet = field_sheet(course(), DAY, night(20))
    first = write_field_sheet(sheet, tmp_path / "reports" / "a.pdf").read_bytes()
    assert first == write_field_sheet(sheet, tmp_path / "b.pdf").read_bytes()
    assert first.startswith(b"%PDF") and re.search(rb"/Type /Pages /Kids \[ [^\]]*\] /Count 1\b", first)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["b.pdf", "reports"]


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(FolderError, match="cannot be written"):
        write_field_sheet(field_sheet(course(), DAY), tmp_path / "file" / "a.pdf")
