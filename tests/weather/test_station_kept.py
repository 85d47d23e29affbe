"""A station file that was read is not worked again until it, or what is said of it, changes."""

import os
from pathlib import Path

import pytest
import xarray as xr

from winterrisk.course import read_course
from winterrisk.weather.read_course_station import read_course_station
from winterrisk.weather.refused import WeatherError

HEADER = "time,air_temperature,precipitation,dew_point,wind_speed,snow_depth,shortwave_down\n"
ROWS = HEADER + "".join(f"2024-01-01T{h:02d}:00,{-h}.5,0.0,-25.0,2.0,0.1,0.0\n" for h in range(24))


@pytest.fixture
def folder(course_copy: Path) -> Path:
    (course_copy / "station.csv").write_text(ROWS, encoding="utf-8")
    return course_copy


def test_the_same_file_gives_the_same_and_a_changed_one_its_change(folder: Path) -> None:
    first = read_course_station(read_course(folder))
    xr.testing.assert_identical(read_course_station(read_course(folder)), first)
    (folder / "station.csv").write_text(ROWS.replace("-7.5", "-9.5"), encoding="utf-8")
    changed = read_course_station(read_course(folder))
    assert float(changed["air_temperature"][7]) == -9.5 and float(first["air_temperature"][7]) == -7.5


def test_what_one_reader_does_to_it_no_other_sees(folder: Path) -> None:
    mine = read_course_station(read_course(folder))
    mine["air_temperature"][:] = 99.0
    mine.attrs["station"] = "mine"
    other = read_course_station(read_course(folder))
    assert float(other["air_temperature"].max()) == 0.5 and other.attrs["station"] != "mine"


def test_what_the_course_file_says_of_it_counts(folder: Path) -> None:
    before = read_course_station(read_course(folder))
    file = folder / "course.toml"
    text = file.read_text(encoding="utf-8")
    assert text.count("utc_offset = 0\n") == 1
    file.write_text(text.replace("utc_offset = 0\n", "utc_offset = -5\n"), encoding="utf-8")
    after = read_course_station(read_course(folder))
    assert (after["time"][0] - before["time"][0]).to_numpy() == 5 * 3600 * 10**9


def test_a_file_that_has_gone_or_broken_is_refused(folder: Path) -> None:
    read_course_station(read_course(folder))
    (folder / "station.csv").write_text("<html>", encoding="utf-8")
    for _ in range(2):
        with pytest.raises(WeatherError, match="a web page"):
            read_course_station(read_course(folder))
    (folder / "station.csv").unlink()
    with pytest.raises(WeatherError, match="no such file"):
        read_course_station(read_course(folder))


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything"
)
def test_a_file_that_may_not_be_read_is_refused(folder: Path) -> None:
    (folder / "station.csv").chmod(0)
    with pytest.raises(WeatherError, match="may not be read"):
        read_course_station(read_course(folder))


def test_a_folder_in_place_of_the_file_is_refused(folder: Path) -> None:
    (folder / "station.csv").unlink()
    (folder / "station.csv").mkdir()
    with pytest.raises(WeatherError, match="a folder"):
        read_course_station(read_course(folder))
