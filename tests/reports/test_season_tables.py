"""The season's tables: rows as on the page, stable bytes, and no word of a person that a spreadsheet would run."""

import csv
import importlib.util
import io
import json
import sys
import time
from pathlib import Path

import pandas as pd
import pytest
from test_season import WINTER, course_folder, keep, night

from winterrisk import season
from winterrisk.reports.season_tables import COLUMNS, season_tables
from winterrisk.reports.write_table import FORMULA_SIGNS, csv_text, workbook, write_table
from winterrisk.science.faults import Refused

SHEETS = importlib.util.find_spec("openpyxl") is not None
"""Whether workbooks can be written here; without the library the CSV files are tested alone."""
needs_sheets = pytest.mark.skipif(not SHEETS, reason="openpyxl is not installed; pip install '.[xlsx]'")
TEMPTING = [
    "=1+1",
    '=HYPERLINK("http://x","y")',
    "+1 mm",
    "-2",
    "@SUM(A1)",
    "\t=1",
    " =1+1",
    "'quoted",
    'plain, "q"',
]


@pytest.fixture
def told(tmp_path: Path) -> season.Season:
    folder = course_folder(tmp_path / "course")
    for on, chance in (("2025-02-24", 0.1), ("2025-02-25", 0.4), ("2025-02-26", 0.45)):
        keep(folder, night(on, chance, calls=chance > 0.3))
    return season.run(folder, WINTER, xlsx=SHEETS)


def rows(told: season.Season, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((told.path.parent / f"{name}.csv").read_text(encoding="utf-8"))))


def test_the_tables_tell_what_the_page_tells(told: season.Season) -> None:
    low, other = rows(told, "zones")
    assert (low["zone"], low["size_m2"], low["dead_low"], low["dead_high"]) == ("4 low", "100", "0.5", "0.7")
    assert (low["score"], low["first_pull"], low["survey_date"]) == ("hit", "2025-02-25", "2025-05-12")
    assert (low["highest_chance"], low["last_on"], low["cause"]) == (
        "0.45", "2025-02-26", "soaked crowns freezing hard",
    )  # fmt: skip
    assert other["treated"] == "2024-11-20 cover on, permeable (Ann Bell)"
    (call,) = rows(told, "calls")
    assert (call["zone"], call["kind"], call["first"], call["last"], call["nights"]) == (
        "4 low", "pull", "2025-02-25", "2025-02-26", "2",
    )  # fmt: skip
    assert call["words"] in told.page
    assert [row["state"] for row in rows(told, "plugs")] == ["likely dead", "alive"]
    assert ("4 low", "2025-01-14", "ice 9 mm, clear, on 90 % of it (Ann Bell)") in {
        (row["zone"], row["date"], row["words"]) for row in rows(told, "seen")
    }


@needs_sheets
def test_the_workbook_has_a_sheet_for_each_table(told: season.Season) -> None:
    sheets = pd.read_excel(told.path.parent / "season.xlsx", sheet_name=None)
    assert list(sheets) == list(COLUMNS)
    for name, sheet in sheets.items():
        assert list(sheet.columns) == list(COLUMNS[name])
        assert len(sheet) == len(rows(told, name))
    assert sheets["zones"]["highest_chance"].tolist() == [0.45, 0.045]


@needs_sheets
def test_a_winter_of_which_nothing_is_known_keeps_its_columns(tmp_path: Path) -> None:
    report = season.run(course_folder(tmp_path / "course", book=False), "2019-20", xlsx=True)
    tables = season_tables(report.record)
    assert [len(tables[name]) for name in ("zones", "calls", "plugs", "seen")] == [2, 0, 0, 0]
    head = (report.path.parent / "calls.csv").read_text(encoding="utf-8")
    assert head == "zone,kind,first,last,nights,words\n"
    zone = rows(report, "zones")[0]
    assert {zone[name] for name in ("dead_low", "dead_high", "last_chance", "first_pull")} == {""}


def test_no_word_of_a_person_becomes_a_formula(tmp_path: Path) -> None:
    openpyxl = pytest.importorskip("openpyxl", reason="openpyxl is not installed; pip install '.[xlsx]'")
    table = pd.DataFrame({"words": TEMPTING, "figure": [-1.5] * len(TEMPTING)})
    parsed = list(csv.reader(io.StringIO(csv_text(table))))[1:]
    for (words, figure), written in zip(parsed, TEMPTING, strict=True):
        assert not words.lstrip(" ").startswith(FORMULA_SIGNS)
        assert words.removeprefix("'") == written.removeprefix("'")  # nothing is lost
        assert figure == "-1.5"  # a figure below zero stays a figure
    sheet = openpyxl.load_workbook(io.BytesIO(workbook({"a": table})))["a"]
    for row, written in zip(sheet.iter_rows(min_row=2), TEMPTING, strict=True):
        assert (row[0].value, row[0].data_type) == (written, "s")
        assert (row[1].value, row[1].data_type) == (-1.5, "n")


@needs_sheets
def test_an_area_named_like_a_formula_stays_a_name(tmp_path: Path) -> None:
    folder = course_folder(tmp_path / "course", book=False)
    text = (
        (folder / "course.toml")
        .read_text(encoding="utf-8")
        .replace('name = "4"', f"name = {json.dumps('=4+1')}")
    )
    (folder / "course.toml").write_text(text, encoding="utf-8")
    report = season.run(folder, WINTER, xlsx=True)
    assert [row["zone"] for row in rows(report, "zones")] == ["'=4+1 low", "'=4+1 open"]
    assert pd.read_excel(report.path.parent / "season.xlsx")["zone"].tolist() == ["=4+1 low", "=4+1 open"]


@needs_sheets
def test_a_workbook_written_again_is_the_same_bytes(told: season.Season) -> None:
    before = (told.path.parent / "season.xlsx").read_bytes()
    time.sleep(2.1)  # times in an archive go by two seconds
    assert workbook(season_tables(told.record)) == before


def test_without_the_spreadsheet_library_the_move_is_told_and_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = course_folder(tmp_path / "course")
    monkeypatch.setitem(sys.modules, "openpyxl", None)  # so the import fails
    with pytest.raises(Refused, match=r"pip install 'winterrisk\[xlsx\]'"):
        season.run(folder, WINTER, xlsx=True)
    assert not (folder / "reports").exists()
    with pytest.raises(Refused, match=r"or name a file \.csv"):
        write_table(pd.DataFrame({"a": [1]}), tmp_path / "table.xlsx")


def test_signs_a_workbook_cannot_hold_are_replaced_there_and_kept_in_csv() -> None:
    pytest.importorskip("openpyxl", reason="openpyxl is not installed; pip install '.[xlsx]'")
    table = pd.DataFrame({"words": ["a\x07b"]})
    assert "a\x07b" in csv_text(table)
    assert pd.read_excel(io.BytesIO(workbook({"t": table})))["words"].tolist() == ["a�b"]
