"""Faults planted in a station's hours, and what a night and `winterrisk weather` say of them."""

import datetime as dt
import io
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from small_courses import small_course

from winterrisk import nightly
from winterrisk.weather.archive import open_archive

Command = Callable[..., tuple[int, str, str]]
NIGHT, LAST = "2024-01-15", "2024-01-15T10:00"
"""A night, and the first hour that it does not know."""


@pytest.fixture
def course(tmp_path: Path, sample: Path) -> Path:
    return small_course(tmp_path / "course", sample)


def planted(course: Path, change: Callable[[pd.DataFrame], pd.DataFrame], toml: str = "") -> None:
    """The course's record with something changed in it, and lines added to the course file."""
    path = course / "station.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    head = [line for line in lines if line.startswith("#")]
    frame = pd.read_csv(io.StringIO("".join(lines[len(head) :])))
    path.write_text("".join(head) + change(frame).to_csv(index=False), encoding="utf-8")
    if toml:
        with (course / "course.toml").open("a", encoding="utf-8") as file:
            file.write(toml)


def since(frame: pd.DataFrame, begin: str) -> pd.Series:
    return frame["time"] >= begin


def stuck(frame: pd.DataFrame) -> pd.DataFrame:
    frame.loc[since(frame, "2024-01-12T10:00"), "air_temperature"] = -7.3
    return frame


def test_a_stuck_sensor_is_not_believed_and_the_night_cannot_say(
    course: Path, winterrisk_command: Command
) -> None:
    planted(course, stuck)
    code, out, _ = winterrisk_command("nightly", course, "--on", NIGHT)
    assert code == 3
    assert out.startswith("CANNOT SAY for 1 low and 1 ridge: no air temperature for 7")
    assert "This is no all-clear" in out
    code, out, _ = winterrisk_command("weather", course, "--on", NIGHT)
    assert code == 3
    assert re.search(r"air temperature -7.3 .C for 7\d h without a change: a stuck sensor; left out", out)
    assert "CANNOT SAY: no air temperature for 7" in out


def test_an_unheated_gauge_cannot_tell_of_soaked_crowns(course: Path, winterrisk_command: Command) -> None:
    def change(frame: pd.DataFrame) -> pd.DataFrame:
        frame.loc[frame["air_temperature"] < 0.5, "precipitation"] = 0.0
        return frame.drop(columns="snow_depth")

    planted(course, change, '\n[gauge]\nkind = "unheated"\n')
    code, out, _ = winterrisk_command("nightly", course, "--on", NIGHT)
    assert code == 3
    assert "no precipitation for 7" in out and "soaked crowns freezing hard cannot be judged" in out


def test_a_gauge_believed_heated_that_has_no_snow_is_found_out(
    course: Path, winterrisk_command: Command
) -> None:
    def change(frame: pd.DataFrame) -> pd.DataFrame:
        frame.loc[frame["air_temperature"] < 0.5, "precipitation"] = 0.0
        return frame

    planted(course, change)
    _, out, _ = winterrisk_command("weather", course, "--on", NIGHT, "--json")
    assert "this record has almost nothing in the cold: its zeros there are not believed" in out


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            lambda f: f.assign(
                air_temperature=np.where(
                    f["time"].between("2023-12-20", "2023-12-30"),
                    (1.8 * f["air_temperature"] + 32).round(1),
                    f["air_temperature"],
                )
            ),
            "looks like °F",
        ),
        (
            lambda f: f.assign(
                air_temperature=np.where(f["time"] == "2024-01-14T06:00", 5.0, f["air_temperature"])
            ),
            "14 Jan 2024",
        ),
    ],
    ids=["degF as degC", "a lone warm hour"],
)
def test_a_slip_or_a_lone_value_is_told_with_its_day(
    course: Path, winterrisk_command: Command, change, words: str
) -> None:
    clean = winterrisk_command("weather", course, "--on", NIGHT, "--json")[1]
    planted(course, change)
    code, out, _ = winterrisk_command("weather", course, "--on", NIGHT, "--json")
    assert code == 0
    assert out != clean
    fresh = [line for line in out.splitlines() if '"words"' in line and line not in clean]
    assert any(words in line for line in fresh), fresh


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda f: pd.concat([f, f.iloc[[-1]]]), "1 hour more than once"),
        (lambda f: pd.concat([f.iloc[:500], f.iloc[499:]]), "1 hour more than once"),
        (lambda f: pd.concat([f.iloc[:500], f.iloc[490:]]), "time goes backwards"),
    ],
    ids=["duplicated at the end", "duplicated in the middle", "an hour told twice in autumn"],
)
def test_hours_told_twice_are_refused_with_their_line(
    course: Path, winterrisk_command: Command, change, words: str
) -> None:
    planted(course, change)
    code, out, err = winterrisk_command("nightly", course, "--on", NIGHT)
    assert (code, out) == (2, "")
    assert words in err and "station.csv line" in err and "standard time" in err


def test_a_second_record_fills_a_hole_and_says_so(course: Path, winterrisk_command: Command) -> None:
    """The same invented air two degrees warmer: its bias is taken off, and the night can speak."""
    frame = pd.read_csv(course / "station.csv", comment="#")
    frame.assign(air_temperature=frame["air_temperature"] + 2.0).to_csv(course / "airfield.csv", index=False)

    def hole(record: pd.DataFrame) -> pd.DataFrame:
        record.loc[since(record, "2024-01-12T10:00"), ["air_temperature", "dew_point"]] = np.nan
        return record

    planted(course, hole)
    assert winterrisk_command("nightly", course, "--on", NIGHT)[0] == 3
    toml = (course / "course.toml").read_text(encoding="utf-8")
    more = '[[station.second]]\nfile = "airfield.csv"\nname = "Moor airfield (invented)"\n\n[turf]'
    (course / "course.toml").write_text(toml.replace("[turf]", more), encoding="utf-8")
    code, out, _ = winterrisk_command("nightly", course, "--on", NIGHT, "--json")
    assert code == 0
    code, out, _ = winterrisk_command("weather", course, "--on", NIGHT)
    assert code == 0 and "other station" in out and "Moor airfield (invented)" in out


def test_a_second_record_that_is_not_there_stops_nothing(course: Path, winterrisk_command: Command) -> None:
    toml = (course / "course.toml").read_text(encoding="utf-8")
    more = '[[station.second]]\nfile = "airfield.csv"\n\n[turf]'
    (course / "course.toml").write_text(toml.replace("[turf]", more), encoding="utf-8")
    code, out, _ = winterrisk_command("nightly", course, "--on", NIGHT)
    assert code == 0 and "airfield.csv: found no such file" in out


def test_the_picture_is_there_and_the_record_is_left_alone(course: Path, winterrisk_command: Command) -> None:
    before = (course / "station.csv").read_bytes()
    code, out, _ = winterrisk_command("weather", course, "--on", NIGHT)
    assert code == 0
    assert (course / "reports" / "weather.png").read_bytes().startswith(b"\x89PNG")
    assert str(course / "reports" / "weather.png") in out
    assert (course / "station.csv").read_bytes() == before
    assert not (course / "weather").exists(), "a look back takes nothing into the archive"


QUICK = nightly.Settings(n_ground=2, n_paths=2, n_draws=20)
AT_FIVE = np.datetime64("2024-01-15T11:00")
DAY = np.timedelta64(1, "D")


def test_a_file_that_breaks_leaves_the_night_its_archive(course: Path) -> None:
    """A web page in place of the record: the night works on what it received before, and says how old it is."""
    nightly.run(course, clock=AT_FIVE, send=False, settings=QUICK)
    assert (course / "weather" / "archive.sqlite").exists()
    (course / "station.csv").write_text("<html><body>Please log in.</body></html>", encoding="utf-8")
    told: list[str] = []
    night = nightly.run(course, clock=AT_FIVE + DAY, send=False, settings=QUICK, tell=told.append)
    assert night.record["data"]["age_hours"] == 23.0
    assert any("station.csv" in line and "worked from the archive" in line for line in told)
    assert any(n["kind"] == "weather" for n in night.record["data"]["notices"])
    assert "23 h old" in night.alert
    later = nightly.run(course, clock=AT_FIVE + 3 * DAY, send=False, settings=QUICK)
    assert later.exit_code == 3 and "CANNOT SAY for 1 low and 1 ridge" in later.alert


def test_a_past_night_stays_what_it_was_when_the_station_corrects_itself(course: Path) -> None:
    first = nightly.run(course, clock=AT_FIVE, send=False, settings=QUICK)

    def warmer(frame: pd.DataFrame) -> pd.DataFrame:
        frame.loc[frame["time"].between("2024-01-10", "2024-01-11"), "air_temperature"] += 9.0
        return frame

    planted(course, warmer)
    nightly.run(course, clock=AT_FIVE + DAY, send=False, settings=QUICK)
    again = nightly.run(course, first_day(AT_FIVE), clock=AT_FIVE + 9 * DAY, send=False, settings=QUICK)
    assert again.folder == first.folder and again.record == first.record
    known = nightly.run(
        course, first_day(AT_FIVE), hindsight=True, clock=AT_FIVE + 9 * DAY, send=False, settings=QUICK
    )
    assert known.record["data"]["zones"] != first.record["data"]["zones"]


def first_day(clock: np.datetime64) -> dt.date:
    return clock.astype("datetime64[D]").astype(object)


def test_rows_from_the_future_are_never_taken_in(course: Path) -> None:
    early = AT_FIVE - 5 * DAY
    told: list[str] = []
    nightly.run(course, clock=early, send=False, settings=QUICK, tell=told.append)
    assert any("left out" in line for line in told), told
    with open_archive(course) as archive:
        got = archive.received("station").as_known()
    assert got["time"].to_numpy()[np.isfinite(got["air_temperature"].to_numpy())][-1] <= early
