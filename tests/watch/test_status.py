"""One line a course, and an exit code that tells a watchdog how well they are."""

import dataclasses
import datetime as dt
import json
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from winterrisk import nightly
from winterrisk.course import read_course
from winterrisk.watch.read_log import Run, read_log
from winterrisk.watch.read_status import read_status
from winterrisk.watch.read_waiting import waiting_messages
from winterrisk.watch.status import CourseState, exit_code, summary, worst
from winterrisk.watch.steps import STEPS
from winterrisk.watch.write_log import COLUMNS

Command = Callable[..., tuple[int, str, str]]
QUICK = nightly.Settings(n_ground=1, n_paths=2, n_draws=10, zones=("4 low", "9 ridge"))
AT_FIVE = np.datetime64("2024-01-15T11:00:00")
NOW = dt.datetime(2024, 1, 15, 16, 0)
HOURS = dt.timedelta(hours=1)


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> Path:
    """The sample with one night of two zones, worked at its own hour; weather to that hour."""
    home = tmp_path_factory.mktemp("watch") / "Grüner Platz"
    home.mkdir()
    shutil.copy(sample / "course.toml", home)
    rows = (sample / "station.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [
        row for row in rows if row.startswith(("#", "time")) or "2023-07-01" <= row[:16] < "2024-01-15T11:00"
    ]
    (home / "station.csv").write_text("".join(kept), encoding="utf-8")
    nightly.run(home, clock=AT_FIVE, send=False, settings=QUICK)
    return home


@pytest.fixture
def home(worked: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(worked, tmp_path / "course"))


def test_a_run_leaves_one_row_with_the_time_of_each_step(home: Path) -> None:
    header, line = (home / "nights" / "log.csv").read_text(encoding="utf-8").splitlines()
    row = dict(zip(header.split(","), line.split(","), strict=True))
    assert tuple(row) == COLUMNS
    assert (row["started"], row["on"], row["tonight"], row["exit"]) == (
        "2024-01-15T11:00:00Z", "2024-01-15", "yes", "0",
    )  # fmt: skip
    steps = [float(row[f"{step}_seconds"]) for step in STEPS]
    assert sum(steps) <= float(row["seconds"]) + 0.05 and sum(steps) > 0.8 * float(row["seconds"])
    assert float(row["memory_mb"]) > 50


def test_a_well_course_in_one_line(home: Path) -> None:
    state = read_status(home, NOW)
    line = summary(state)
    assert exit_code(state) == 0 and "\n" not in line
    assert line.startswith("Ostermoor: well. last night Mon 15 Jan 05:00, 5 h ago; ")
    assert "weather 7 h old" in line and "undelivered" not in line


def test_calls_are_open_until_somebody_looks(home: Path) -> None:
    record = json.loads((home / "nights" / "2024-01-15" / "night.json").read_text(encoding="utf-8"))
    record["calls"] = [
        {"kind": "look", "zone": "4 low", "since": "2024-01-12", "by": "2024-01-15"},
        {"kind": "pull", "zone": "9 ridge", "since": None, "by": "2024-01-16"},
    ]
    (home / "nights" / "2024-01-15" / "night.json").write_text(json.dumps(record), encoding="utf-8")
    assert "2 calls open, unanswered for up to 3 days" in summary(read_status(home, NOW))
    from winterrisk.book import open_book

    with open_book(home, course=read_course(home)) as book:
        book.add_observation(
            known=np.datetime64("2024-01-15T15:00"), time="2024-01-15T14:30", area="4", zone="low", kind="no_ice",
            who="I. Varrow",
        )  # fmt: skip
    assert "1 call open;" in summary(read_status(home, NOW))


@pytest.mark.parametrize(
    ("hours", "code", "word"),
    [(29, 0, "well"), (31, 3, "LATE"), (24 * 200, 0, "well"), (24 * 330, 3, "LATE")],
)
def test_no_night_for_too_long_counts_in_season_alone(home: Path, hours: int, code: int, word: str) -> None:
    """200 days after 15 January is August, 330 days is December."""
    state = read_status(home, dt.datetime(2024, 1, 15, 11) + hours * HOURS)
    assert exit_code(state) == code and f": {word}. " in summary(state)


def test_each_thing_that_is_wrong_has_its_code_and_words(home: Path) -> None:
    well = read_status(home, NOW)

    def changed(**values: object) -> tuple[int, str]:
        state = dataclasses.replace(well, **values)  # type: ignore[arg-type]
        return exit_code(state), summary(state)

    for exit_, words in (
        (1, "FAILED"),
        (2, "REFUSED"),
        (4, "UNDELIVERED"),
        (3, "CANNOT SAY"),
        (-9, "FAILED"),
    ):
        code, line = changed(last_run=Run(NOW, NOW.date(), True, exit_, "why so"))
        assert code == (exit_ if exit_ > 0 else 1) and f": {words}. " in line
        assert ("why so" in line) == (exit_ in (1, 2))
    assert changed(waiting=2)[0] == 4 and "2 messages undelivered" in changed(waiting=2)[1]
    assert changed(waiting=None)[0] == 4
    assert changed(unsaid=1)[0] == 3 and "cannot say for 1 of 24 zones" in changed(unsaid=1)[1]
    assert changed(behind="the clock")[0] == 3
    assert changed(last_night=None)[0] == 3 and "no night yet" in changed(last_night=None)[1]


def test_the_worst_of_all_courses_counts() -> None:
    """The order of the published exit codes: 1, 2, 4, 3, 0."""
    assert [worst(codes) for codes in ([0, 3], [3, 4], [4, 2], [2, 1], [0, 0], [0, 77])] == [3, 4, 2, 1, 0, 1]


def test_a_run_refused_on_its_own_night_is_in_the_log_and_the_line(home: Path) -> None:
    (home / "thresholds.toml").write_text("this is [ no toml", encoding="utf-8")
    with pytest.raises(nightly.Refused):
        nightly.run(home, clock=AT_FIVE + np.timedelta64(1, "D"), send=False, settings=QUICK)
    assert read_log(home)[-1].exit == 2
    state = read_status(home, NOW + 24 * HOURS)
    assert exit_code(state) == 2 and "05:00 was refused (" in summary(state)
    assert "thresholds.toml" in summary(state)


def test_a_clock_set_back_is_no_all_clear(home: Path) -> None:
    told: list[str] = []
    early = AT_FIVE - np.timedelta64(20, "D")
    night = nightly.run(home, clock=early, send=False, settings=QUICK, tell=told.append)
    assert night.exit_code == 3 and any("set the clock" in line for line in told)
    assert exit_code(read_status(home, NOW - 20 * 24 * HOURS)) == 3


def test_missed_nights_are_told_and_logged(home: Path) -> None:
    told: list[str] = []
    nightly.run(home, clock=AT_FIVE + np.timedelta64(4, "D"), send=False, settings=QUICK, tell=told.append)
    assert any("3 nights before this one were not worked" in line for line in told)
    log = (home / "nights" / "log.csv").read_text(encoding="utf-8").splitlines()
    assert dict(zip(COLUMNS, log[-1].split(","), strict=False))["missed"] == "3"


def test_messages_that_wait_are_counted(tmp_path: Path) -> None:
    assert waiting_messages(tmp_path) == 0
    connection = sqlite3.connect(tmp_path / "outbox.sqlite")
    with connection:
        connection.execute("CREATE TABLE messages (state TEXT, failures INTEGER)")
        connection.executemany(
            "INSERT INTO messages VALUES (?, ?)", [("waiting", 2), ("waiting", 0), ("sent", 1)]
        )
    connection.close()
    assert waiting_messages(tmp_path) == 1


def test_many_courses_at_the_command_line(home: Path, tmp_path: Path, winterrisk_command: Command) -> None:
    (tmp_path / "bare").mkdir()
    code, out, err = winterrisk_command("status", home, tmp_path / "bare", tmp_path / "nowhere")
    lines = out.splitlines()
    assert (code, err, len(lines)) == (2, "", 3)
    assert "no course.toml" in lines[1] and "no such folder" in lines[2]


@pytest.mark.parametrize(
    "content", ["", "{", "[]", "null", '{"calls": 3}', '{"calls": [], "cannot_say": [], "data": 1}']
)
def test_a_damaged_record_is_told_and_stops_no_other_course(home: Path, content: str) -> None:
    (home / "nights" / "2024-01-15" / "night.json").write_text(content, encoding="utf-8")
    state = read_status(home, NOW)
    assert exit_code(state) == 2 and "night.json: cannot be read" in summary(state)


def test_a_state_of_nothing_is_not_well_in_winter() -> None:
    assert exit_code(CourseState("x", "UTC", NOW)) == 3
