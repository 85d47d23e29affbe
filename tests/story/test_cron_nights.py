"""Nights worked a few minutes after four, day by day, from a station file that grows: each hears of the last hours."""

import datetime as dt
import shutil
from pathlib import Path

import numpy as np
import pytest
from small_courses import small_course

from winterrisk import nightly

QUICK = nightly.Settings(n_ground=1, n_paths=2, n_draws=10, zones=("1 low",))
FIRST = dt.date(2024, 1, 1)


@pytest.fixture
def nights(tmp_path: Path, sample: Path) -> list[nightly.Night]:
    """Three nights in a row at 04:10, the file each time with the hours up to four."""
    home = small_course(tmp_path / "course", sample, last=f"{FIRST}T10:00")
    worked = []
    for day in (FIRST + dt.timedelta(days=n) for n in range(3)):
        grown = small_course(tmp_path / f"to {day}", sample, last=f"{day}T10:00")
        shutil.copy(grown / "station.csv", home)
        clock = np.datetime64(f"{day}T10:10")
        worked.append(nightly.run(home, send=False, settings=QUICK, clock=clock))
    return worked


def test_what_came_in_tonight_counts_tonight(nights: list[nightly.Night]) -> None:
    """The first delivery is a history; the ones after it are known from 04:10 on, which is after four."""
    assert [night.record["data"]["age_hours"] for night in nights] == [1.0, 1.0, 1.0]
    assert [night.record["data"]["weather_until_local"] for night in nights] == [
        f"{FIRST + dt.timedelta(days=n)}T03:00" for n in range(3)
    ]


def test_worked_again_later_such_a_night_is_the_same(nights: list[nightly.Night]) -> None:
    middle = nights[1]
    assert middle.folder is not None
    home = middle.folder.parents[1]
    on = dt.date.fromisoformat(middle.record["on"])
    again = nightly.run(home, on, send=False, settings=QUICK, clock=np.datetime64("2024-02-01T10:10"))
    assert again.folder == middle.folder and again.record == middle.record
