"""The forecast that a course file asks for, from each source."""

from pathlib import Path

import numpy as np
import pytest
from test_forecast_files import ensemble, written
from tests_forecast_server import HOUR, series_answer, serving

from winterrisk.course import Course
from winterrisk.course.read_course import course_from_text
from winterrisk.weather import WeatherError
from winterrisk.weather.get_forecast import get_forecast

FIRST = np.datetime64("2026-01-10T04")


def course(sample: Path, folder: Path, section: str) -> Course:
    """The sample course with another [forecast] section."""
    text = (sample / "course.toml").read_text(encoding="utf-8")
    before, _, after = text.partition('[forecast]\nsource = "none"\n')
    return course_from_text(before + section + after, folder)


def test_none(sample: Path, tmp_path: Path) -> None:
    assert get_forecast(course(sample, tmp_path, '[forecast]\nsource = "none"\n')) is None


def test_met_norway(sample: Path, tmp_path: Path) -> None:
    section = '[forecast]\nsource = "MET Norway"\ncontact = "greens@ostermoor.example"\n'
    with serving() as service:
        service.series = series_answer(FIRST, FIRST - HOUR)
        got = get_forecast(course(sample, tmp_path, section), base=service.base, patience=1.0)
    assert got is not None
    assert got.forecast.attrs["source"] == "MET Norway location forecast"
    assert "greens@ostermoor.example" in service.asked[0][1]["User-Agent"]


def test_us_grid_without_a_contact(sample: Path, tmp_path: Path) -> None:
    with pytest.raises(WeatherError, match=r"forecast\.contact"):
        get_forecast(course(sample, tmp_path, '[forecast]\nsource = "US NWS"\n'))


def test_file(sample: Path, tmp_path: Path) -> None:
    path = written(tmp_path, ensemble(), "classic")
    got = get_forecast(course(sample, tmp_path, f'[forecast]\nsource = "file"\nfile = "{path.name}"\n'))
    assert got is not None
    assert got.forecast.sizes["member"] == 5
    with pytest.raises(WeatherError, match=r"forecast\.file"):
        get_forecast(course(sample, tmp_path, '[forecast]\nsource = "file"\n'))
