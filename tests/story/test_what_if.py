"""Clear or leave: signs that follow from physics and turf alone, and the command on a course folder."""

import datetime as dt
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from small_courses import small_course

from winterrisk.book import Record
from winterrisk.column.members import members
from winterrisk.course import night_instant, read_course, winter_of
from winterrisk.nightly import Settings, Work, possible_winters
from winterrisk.science.faults import Refused
from winterrisk.thresholds import Thresholds
from winterrisk.weather.read_course_weather import read_course_weather
from winterrisk.what_if import WhatIf, both_futures, what_if

ON = dt.date(2025, 1, 8)
SMALL = Settings(n_ground=4, n_paths=2, n_draws=60, zones=("1 low",))


def told(
    folder: Path, seen: list[tuple[str, str, float, str]], before: float | None, after: float, sun: float
) -> WhatIf:
    """Both futures of the low zone with the air at `after` degC for ten days, `before` (None: as it was) the four weeks
    before, sun times so much, and what was seen: time, kind, value, unit."""
    course = read_course(folder)
    weather = possible_winters(read_course_weather(course), course, ON, SMALL)
    paths = weather.paths.copy(deep=True)
    now = night_instant(ON, course.timezone)
    times = paths["time"].to_numpy()
    ahead = (times >= now) & (times < now + np.timedelta64(14, "D"))
    behind = (times < now) & (times >= now - np.timedelta64(28, "D"))
    _set(paths, ahead, after, sun)
    if before is not None:
        _set(paths, behind, before, 1.0)
    rows = [
        {"time": pd.Timestamp(t), "until": pd.NaT, "area": "1", "zone": "1 low", "kind": k, "value": v, "unit": u,
         "share": 1.0, "detail": "", "who": "", "known": pd.Timestamp(t)}
        for t, k, v, u in seen
    ]  # fmt: skip
    record = Record.empty()
    if rows:
        record = replace(record, observations=pd.DataFrame(rows))
    work = Work(course, Thresholds.defaults(), record, read_course_weather(course), SMALL)
    several = members(paths, SMALL.n_ground, (course.id, winter_of(ON)), work.thresholds)
    return both_futures(work, paths, several, "1 low", ON, now)


def _set(paths: xr.Dataset, hours: np.ndarray, air: float, sun: float) -> None:
    for name, value in (("air_temperature", air), ("dew_point", air - 4.0), ("precipitation", 0.0)):
        values = paths[name].to_numpy().copy()
        values[hours] = value
        paths[name] = (paths[name].dims, values, paths[name].attrs)
    values = paths["shortwave_down"].to_numpy().copy()
    values[hours] *= sun
    paths["shortwave_down"] = (paths["shortwave_down"].dims, values, paths["shortwave_down"].attrs)


@pytest.fixture
def folder(tmp_path: Path, sample: Path) -> Path:
    """The small course with a whole winter on record before this one, and this one up to the day after the night."""
    return small_course(tmp_path / "course", sample, last="2025-01-09T00:00")


ICE = [("2024-11-20T18:00", "ice_seen", 25.0, "mm"), ("2024-12-05T18:00", "ice_seen", 40.0, "mm"),
       ("2024-12-20T18:00", "ice_seen", 40.0, "mm"), ("2025-01-07T18:00", "ice_seen", 40.0, "mm")]  # fmt: skip
"""Ice that stays for seven weeks."""


def test_clearing_ice_before_a_warm_sunny_spell_helps(folder: Path) -> None:
    warm = told(folder, ICE, -1.0, 3.0, 1.3)
    assert warm.ice > 0.9
    assert warm.told.clear < warm.told.leave
    assert warm.told.better > 0.9
    assert warm.told.verdict == "clear"


def test_clearing_before_hard_frost_hurts_soft_turf(folder: Path) -> None:
    snow = [("2025-01-07T18:00", "snow_depth_seen", 25.0, "cm")]
    cold = told(folder, snow, 8.0, -20.0, 1.0)
    assert cold.coldest[1] < cold.coldest[0] - 3.0
    assert cold.told.clear > cold.told.leave + 0.1
    assert cold.told.verdict == "leave"


def test_clearing_where_there_is_no_ice_changes_nothing(folder: Path) -> None:
    bare = [("2025-01-07T18:00", "no_ice", np.nan, ""), ("2025-01-07T18:00", "snow_depth_seen", 0.0, "cm")]
    none = told(folder, bare, None, 4.0, 1.0)
    assert none.ice < 0.1
    assert abs(none.told.clear - none.told.leave) < 0.02
    assert none.told.verdict == "too close to call"
    assert "TOO CLOSE TO CALL: hardly any ice" in none.words()


def test_the_command_says_both_chances_and_refuses_an_unknown_zone(folder: Path) -> None:
    def run(*words: str) -> subprocess.CompletedProcess[str]:
        code = "from winterrisk.cli import main; main()"
        return subprocess.run([sys.executable, "-c", code, "what-if", str(folder), *words], capture_output=True,
                              text=True, check=False)  # fmt: skip

    done = run("--clear", "1 low", "--on", "2025-01-08")
    assert done.returncode == 0, done.stderr
    assert "leave it:" in done.stdout and "clear it:" in done.stdout and "eye protection" in done.stdout
    wrong = run("--clear", "1 lo", "--on", "2025-01-08")
    assert wrong.returncode == 2 and 'nearest is "1 low"' in wrong.stderr


def test_without_data_neither_is_judged(folder: Path, winterrisk_command) -> None:
    """The station has been silent for three days: no chance stands where nobody can say, and the exit code says so."""
    code, out, _ = winterrisk_command("what-if", folder, "--clear", "1 low", "--on", "2025-01-12")
    assert code == 3
    assert out.startswith(
        "CANNOT SAY for 1 low: no air temperature and precipitation for 72 of the last 72 h"
    )
    assert "looks better" not in out and "CLOSE TO CALL" not in out and "go and look" in out


def test_a_us_reader_gets_fahrenheit_and_inches(folder: Path) -> None:
    told_us = replace(told(folder, ICE, -4.0, 3.0, 1.3), units="us", coldest=(-10.0, -20.0), snow=0.25)
    words = told_us.words()
    assert "coldest crown about 14 °F" in words and "coldest crown about -4 °F" in words
    assert "Snow 9.8 in" in words


def test_without_weather_ahead_it_refuses_and_says_what_to_do(tmp_path: Path, sample: Path) -> None:
    with pytest.raises(Refused, match=r"weather ahead to .*name a forecast"):
        what_if(small_course(tmp_path / "course", sample), "1 low", dt.date(2024, 1, 8))
