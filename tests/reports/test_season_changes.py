"""What differs between two reports: any row of the logs taken away is named, and the same logs are the same bytes."""

import copy
import importlib.util
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_season import WINTER, course_folder, keep, night

from winterrisk import season
from winterrisk.book import open_book
from winterrisk.course import read_course
from winterrisk.reports.season_changes import MOST_LINES, season_changes
from winterrisk.reports.season_logs import KEYS
from winterrisk.reports.season_record import season_record
from winterrisk.reports.write_night import as_json
from winterrisk.science.faults import Refused
from winterrisk.thresholds import Thresholds

DATES = ("2025-02-24", "2025-02-25", "2025-02-26", "2025-03-01")


SHEETS = importlib.util.find_spec("openpyxl") is not None
"""Whether workbooks can be written here."""


def with_nights(folder: Path) -> Path:
    course_folder(folder)
    for on, chance in zip(DATES, (0.1, 0.4, 0.45, 0.5), strict=True):
        keep(folder, night(on, chance, calls=chance > 0.3))
    return folder


@pytest.fixture(scope="module")
def logged(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return with_nights(tmp_path_factory.mktemp("logged") / "course")


def told(folder: Path) -> dict[str, Any]:
    """The record as season.json keeps it, from the files of the folder."""
    course = read_course(folder)
    with open_book(folder, create=False, course=course) as book:
        rows = book.record()
    nights, left_out = season.said_nights(folder, WINTER)
    thresholds = Thresholds.read(folder)
    record = season_record(course, rows, nights, WINTER, thresholds, version="0.1.0", left_out=left_out)
    return dict(json.loads(as_json(record)))


def without_line(folder: Path, table: str, number: int) -> None:
    path = folder / "book" / f"{table}.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    del lines[number]
    path.write_text("".join(lines), encoding="utf-8")


@pytest.mark.parametrize(
    ("table", "line", "named"),
    [
        ("looks", 1, "look at plug 1 of 4 low: no longer in the book: "
                     "Tue 4 Mar annual bluegrass, 0 % new growth, brown; Ann Bell"),
        ("observations", 1, "4 low: no longer in the book: "
                            "Tue 14 Jan ice 9 mm, clear, on 90 % of it (Ann Bell)"),
        ("observations", 2, "4: no longer in the book: Wed 15 Jan snow 12 cm (Ann Bell)"),
        ("surveys", 1, "survey of 4 low, Mon 12 May: no longer in the book: "
                       "50-70 % dead; soaked crowns freezing hard; Ann Bell"),
        ("surveys", 3, "survey of 4 low, Sun 12 May, winter 2023-24: no longer in the book: "
                       "10-20 % dead; lack of air under ice; Ann Bell"),
        ("decisions", 1, "decision of Thu 13 Mar: no longer in the book: "
                         "Order sod; lows brown; Ann Bell; told Lee Roe"),
        ("plugs", 2, "plug 2 of 4 open: no longer in the book, with its 5 looks: "
                     "Thu 27 Feb 1 plug cut, no ice above; Ann Bell"),
    ],
)  # fmt: skip
def test_a_row_taken_away_changes_the_report_and_is_named(
    logged: Path, tmp_path: Path, table: str, line: int, named: str
) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied, ignore=shutil.ignore_patterns("reports"))
    before = told(copied)
    if table == "plugs":
        looks = (copied / "book" / "looks.csv").read_text(encoding="utf-8").splitlines(keepends=True)
        kept = [row for row in looks if not row.startswith("2,")]
        (copied / "book" / "looks.csv").write_text("".join(kept), encoding="utf-8")
    without_line(copied, table, line)
    changes = season_changes(before, told(copied))
    assert named in changes
    assert sum("no longer" in words for words in changes) == 1


def test_every_single_row_of_the_book_is_named_when_it_goes(logged: Path, tmp_path: Path) -> None:
    before, gone = told(logged), 0
    for path in sorted((logged / "book").glob("*.csv")):
        for line in range(1, len(path.read_text(encoding="utf-8").splitlines())):
            copied = tmp_path / f"{path.stem}{line}"
            shutil.copytree(logged, copied, ignore=shutil.ignore_patterns("reports", "nights"))
            shutil.copytree(logged / "nights", copied / "nights")
            without_line(copied, path.stem, line)
            try:
                changes = season_changes(before, told(copied))
            except Refused:
                assert path.stem in ("plugs", "batches")  # a look or plug is left that belongs to nothing
                continue
            assert any("no longer in the book" in words for words in changes), (path.stem, line)
            gone += 1
    assert gone >= 17


def test_nights_that_went_or_came_are_named_in_spells(logged: Path, tmp_path: Path) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied)
    before = told(copied)
    for date in (DATES[1], DATES[2], DATES[3]):
        shutil.rmtree(copied / "nights" / date)
    after = told(copied)
    assert season_changes(before, after)[-2:] == [
        "2 nights, Tue 25 Feb to Wed 26 Feb: not in the folder any more",
        "night of Sat 1 Mar: not in the folder any more",
    ]
    assert "night of Sat 1 Mar: new in the folder" in season_changes(after, before)


def test_a_night_that_says_something_else_is_named(logged: Path, tmp_path: Path) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied)
    before = told(copied)
    path = copied / "nights" / DATES[3] / "night.json"
    path.write_text(path.read_text(encoding="utf-8").replace("0.05", "0.06"), encoding="utf-8")
    assert season_changes(before, told(copied)) == ["night of Sat 1 Mar: other figures, the same calls"]
    record = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(record | {"calls": []}), encoding="utf-8")
    assert "night of Sat 1 Mar: no call was pull 4 low" in season_changes(before, told(copied))


def test_a_survey_written_otherwise_tells_both_and_what_came_of_it_first(
    logged: Path, tmp_path: Path
) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied)
    before = told(copied)
    path = copied / "book" / "surveys.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("0.5,0.7", "0.1,0.2"), encoding="utf-8")
    # by hand: (100 m2 x 0.15 + 400 m2 x 0.025) / 500 m2 = 5 %
    assert season_changes(before, told(copied)) == [
        "dead share of the greens surveyed: 5 % was 14 %",
        "scores: 4 low close was hit",
        "survey of 4 low, Mon 12 May: 10-20 % dead was 50-70 % dead",
    ]


def test_a_column_that_no_words_show_is_named_too(logged: Path, tmp_path: Path) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied)
    before = told(copied)
    path = copied / "book" / "decisions.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("2025-03-12", "2025-03-11"), encoding="utf-8")
    assert season_changes(before, told(copied)) == [
        "decision of Thu 13 Mar: Order sod; lows brown; Ann Bell; told Lee Roe: night 2025-03-11 was 2025-03-12"
    ]


def test_the_course_file_and_the_package_are_named(logged: Path, tmp_path: Path) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied)
    before = told(copied)
    path = copied / "course.toml"
    text = path.read_text(encoding="utf-8").replace("size = 500", "size = 700")
    path.write_text(text.replace('template = "open"', 'template = "ridge"'), encoding="utf-8")
    changes = season_changes(before, told(copied) | {"version": "0.2.0"})
    assert "4 low: 140 m² was 100 m²" in changes and "4 open: ridge was open" in changes
    assert "package: 0.2.0 was 0.1.0" in changes


def replayed(record: dict[str, Any], rain: float, weather_days: int | None, dead_days: int) -> dict[str, Any]:
    cost = {"weather_days": weather_days, "green_days": [10, dead_days, 90]}
    return record | {"cost": cost, "not_replayed": "", "winters": [{"winter": "2023-24", "rain_mm": rain}]}


def test_days_lost_and_weather_that_came_out_otherwise_are_named(logged: Path) -> None:
    record = told(logged)
    before, after = replayed(record, 3.0, 5, 40), replayed(record, 9.0, None, 44)
    assert season_changes(before, after) == [
        "days lost to weather: not known was 5",
        "green-days lost to dead turf: 44 was 40",
        "weather on record: other figures for 2023-24",
    ]
    quick = before | {"not_replayed": "left out (--quick)", "winters": []}
    assert season_changes(before, quick) == ["replays of the winter: left out (--quick) was worked"]


def test_figures_that_no_row_explains_are_not_passed_over(logged: Path) -> None:
    record = told(logged)
    other = copy.deepcopy(record)
    other["station"]["name"] = "another yard"
    assert season_changes(record, other) == ["other figures from the same rows, in: station"]
    assert season_changes(record, copy.deepcopy(record)) == []


def test_a_report_without_rows_of_the_logs_says_so(logged: Path) -> None:
    record = told(logged)
    older = {name: value for name, value in record.items() if name != "logs"}
    assert season_changes(older, record) == [
        "the report before kept no rows of the logs: which of them differ is unknown"
    ]


@settings(max_examples=25, deadline=None)
@given(picked=st.sets(st.integers(0, 16), max_size=17))
def test_any_rows_taken_away_are_named_or_counted(logged: Path, picked: set[int]) -> None:
    before = RECORDS.setdefault(str(logged), told(logged))
    # a plug takes its looks along and nights are told in spells: both have tests of their own
    flat = [(log, row) for log in KEYS if log not in ("plug", "night") for row in before["logs"][log]]
    assert len(flat) > max(picked, default=0)
    gone = len(picked)
    kept = [pair for i, pair in enumerate(flat) if i not in picked]
    logs = {log: [row for name, row in kept if name == log] for log in KEYS if log not in ("plug", "night")}
    after = before | {"logs": before["logs"] | logs}
    for one, other, word in ((before, after, "no longer in the book"), (after, before, "new in the book")):
        changes = season_changes(one, other)
        named = [line for line in changes if word in line]
        more = changes[-1] if len(changes) > MOST_LINES else "and 0 more"
        assert len(changes) <= MOST_LINES + 1
        assert len(named) + int(more.split()[1]) == gone
        assert len(set(named)) == len(named)


RECORDS: dict[str, dict[str, Any]] = {}


def test_the_same_folder_elsewhere_gives_the_same_bytes_of_every_file(logged: Path, tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    for folder in (here, there):
        shutil.copytree(logged, folder, ignore=shutil.ignore_patterns("reports"))
    first, second = (season.run(folder, WINTER, pdf=True, xlsx=SHEETS) for folder in (here, there))
    assert first.changes is None
    files = {p.name: p.read_bytes() for p in first.path.parent.iterdir()}
    sheets = {"season.xlsx"} if SHEETS else set()
    assert set(files) == sheets | {
        "season.html", "season.json", "season.pdf", "zones.csv", "calls.csv", "plugs.csv", "seen.csv",
    }  # fmt: skip
    assert {p.name: p.read_bytes() for p in second.path.parent.iterdir()} == files
    assert season.run(here, WINTER).changes == []
    assert {p.name: p.read_bytes() for p in first.path.parent.iterdir()} == files
    without_line(here, "observations", 1)
    other = season.run(here, WINTER)
    assert other.changes == [
        "4 low: no longer in the book: Tue 14 Jan ice 9 mm, clear, on 90 % of it (Ann Bell)"
    ]
    left = {p.name: p.read_bytes() for p in first.path.parent.iterdir()}
    assert set(files) - set(left) == sheets | {"season.pdf"}  # they would tell the report before
    assert {name for name in left if left[name] == files[name]} == {"zones.csv", "calls.csv", "plugs.csv"}


def test_a_report_that_is_no_record_is_passed_over(logged: Path, tmp_path: Path) -> None:
    copied = tmp_path / "elsewhere"
    shutil.copytree(logged, copied, ignore=shutil.ignore_patterns("reports"))
    path = season.run(copied, WINTER).path
    for text in ("{half", "[]", "{}"):
        (path.parent / "season.json").write_text(text, encoding="utf-8")
        assert season.run(copied, WINTER).changes is None
