"""The log of runs: a row each, read back; whatever stands in it stops nothing; which nights are due."""

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from winterrisk.watch.due import backwards, is_due, missed_nights
from winterrisk.watch.read_log import Run, read_log
from winterrisk.watch.write_log import COLUMNS, write_log

ROW = {"started": "2026-01-10T10:17:00Z", "on": "2026-01-10", "tonight": True, "exit": 0, "said": 'a\nb, "c"'}
ZONE = "America/Winnipeg"
TODAY = dt.date(2026, 1, 10)
AT_FOUR = dt.datetime(2026, 1, 10, 10, 0)
"""04:00 in Winnipeg in winter."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "nights").mkdir()
    return tmp_path


def test_rows_are_read_back_and_a_torn_line_is_passed_over(folder: Path) -> None:
    write_log(folder, ROW)
    path = folder / "nights" / "log.csv"
    with path.open("ab") as file:
        file.write(b"2026-01-11T10:17:00Z,0.1.0,2026-01-1")
    write_log(folder, {**ROW, "exit": 3})
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[0] == ",".join(COLUMNS) and len(lines) == 4
    runs = read_log(folder)
    assert [run.exit for run in runs] == [0, 3]
    assert runs[0] == Run(dt.datetime(2026, 1, 10, 10, 17), TODAY, True, 0, 'a b, "c"')


@settings(max_examples=80, deadline=None)
@given(
    content=st.one_of(
        st.binary(max_size=400), st.text(max_size=200).map(lambda t: t.encode("utf-8", "replace"))
    )
)
def test_any_bytes_may_stand_in_the_log(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    folder = tmp_path_factory.mktemp("log")
    (folder / "nights").mkdir()
    (folder / "nights" / "log.csv").write_bytes(content)
    read_log(folder)
    write_log(folder, ROW)
    assert read_log(folder)[-1].exit == 0


def at(hours: float, exit_code: int, tonight: bool = True) -> Run:
    return Run(AT_FOUR + dt.timedelta(hours=hours), TODAY, tonight, exit_code)


@pytest.mark.parametrize(
    ("runs", "hours", "due"),
    [
        ([], 0.1, True),
        ([], -0.1, False),
        ([at(0.3, 0)], 1.3, False),
        ([at(-2, 0)], 0.3, True),
        ([at(0.3, 0, tonight=False)], 1.3, True),
        ([at(0.3, 2)], 1.3, True),
        ([at(0.3, 4)], 1.3, False),
        ([at(0.3, 4)], 4.4, True),
        ([at(0.3, 1)], 1.3, True),
        ([at(0.3, 3)], 1.3, False),
        ([at(0.3, 3)], 4.4, True),
        ([at(0.3, 2), at(1.3, 0)], 2.3, False),
        ([at(8, 0)], 1.3, True),
    ],
    ids=[
        "nothing yet", "before four", "done", "a run of the evening before", "a look back", "refused", "undelivered",
        "still undelivered",
        "a bug", "could not say", "late weather", "refused, then done", "a run from later",
    ],
)  # fmt: skip
def test_when_tonight_is_due(runs: list[Run], hours: float, due: bool) -> None:
    assert is_due(runs, AT_FOUR + dt.timedelta(hours=hours), TODAY, ZONE) is due


def test_nights_nobody_worked() -> None:
    before = {"winter": "2025-26", "on": "2026-01-06"}
    assert missed_nights(before, TODAY, "2025-26") == 3
    assert missed_nights({**before, "on": "2026-01-09"}, TODAY, "2025-26") == 0
    assert missed_nights({**before, "winter": "2024-25"}, TODAY, "2025-26") == 0
    assert missed_nights(None, TODAY, "2025-26") == 0


def test_a_clock_that_goes_backwards_is_told() -> None:
    assert backwards([at(0, 0)], AT_FOUR - dt.timedelta(hours=1)) == "", "a clock set right by an hour"
    assert "no all-clear" in backwards([at(0, 0)], AT_FOUR - dt.timedelta(days=3))
    assert backwards([], AT_FOUR) == ""
