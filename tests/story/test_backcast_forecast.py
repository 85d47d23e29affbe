"""Past nights with a forecast: the one kept then, or one made afterwards that errs as forecasts do; never what came.

Sizes of the error of a day's lowest temperature: docs/science (the package's error model); here only that it errs.
"""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from small_courses import small_course
from test_forecast_night import AT_FIVE, HOUR, NIGHT, told

from winterrisk.backcast import backcast_nights, days_ahead, read_work, whole_record
from winterrisk.nightly import Settings, Work

TINY = Settings(n_ground=1, n_paths=2, n_draws=20)
NIGHTS = [dt.date(2023, 12, 20), dt.date(2024, 1, 2), dt.date(2024, 1, 8)]


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory) -> Path:
    sample = Path(__file__).parents[2] / "sample_weather" / "ostermoor"
    return small_course(tmp_path_factory.mktemp("past") / "course", sample)


@pytest.fixture(scope="module")
def work(course: Path) -> Work:
    return read_work(course, TINY)


@pytest.fixture(scope="module")
def came(work: Work) -> xr.Dataset:
    return whole_record(work.weather, work.course.id, AT_FIVE + 30 * 24 * HOUR)


def test_a_made_forecast_errs_more_the_further_ahead(work: Work, came: xr.Dataset) -> None:
    ahead = days_ahead("errors", work.course, lambda: came)
    errors = []
    for day in range(1, 60, 2):
        forecast = ahead(dt.date(2023, 11, 1) + dt.timedelta(days=day))
        assert forecast is not None
        there = came["air_temperature"].sel(time=forecast["time"])
        errors.append((forecast["air_temperature"] - there).to_numpy()[6:174])
    size = np.sqrt(np.mean(np.square(errors), axis=0)).reshape(7, 24).mean(axis=1)
    assert 0.5 < size[0] < 3.0, "a forecast for tomorrow is good and not perfect"
    assert size[0] < size[2] < size[6]


def test_the_same_night_gets_the_same_forecast_and_the_last_of_a_record_none(
    work: Work, came: xr.Dataset
) -> None:
    one, two = (days_ahead("errors", work.course, lambda: came)(NIGHTS[1]) for _ in range(2))
    assert one is not None and two is not None and one.equals(two)
    end = came["time"].to_numpy()[-1].astype("datetime64[D]").astype(dt.date)
    assert days_ahead("errors", work.course, lambda: came)(end + dt.timedelta(days=1)) is None
    assert days_ahead("none", work.course, lambda: came)(NIGHTS[1]) is None


def test_nights_with_made_forecasts_say_so_and_say_something_else(
    course: Path, work: Work, came: xr.Dataset
) -> None:
    plain = list(backcast_nights(course, work, NIGHTS))
    ahead = days_ahead("errors", work.course, lambda: came)
    with_it = list(backcast_nights(course, work, NIGHTS, ahead=ahead))
    assert [night.record["data"]["forecast"] for night in plain] == [None] * 3
    for night in with_it:
        assert night.record["data"]["forecast"]["source"].startswith("made afterwards")
    crowns = [night.winter_days["crown_temperature_min"].isel(day=slice(-60, None)) for night in with_it]
    before = [night.winter_days["crown_temperature_min"].isel(day=slice(-60, None)) for night in plain]
    assert any(a.sizes != b.sizes or not np.allclose(a, b) for a, b in zip(crowns, before, strict=True))


def test_what_was_measured_is_the_same_with_every_rule(course: Path, work: Work, came: xr.Dataset) -> None:
    ahead = days_ahead("errors", work.course, lambda: came)
    (plain,), (with_it,) = (
        list(backcast_nights(course, work, NIGHTS[1:2], ahead=rule)) for rule in (lambda on: None, ahead)
    )
    until = np.datetime64("2023-12-31")
    one, two = (n.winter_days["crown_temperature_min"].sel(day=slice(None, until)) for n in (plain, with_it))
    assert one.sizes["day"] > 100
    assert np.array_equal(one.isel(member=0), two.isel(member=0))


def test_archived_uses_what_was_kept_by_then(tmp_path: Path, sample: Path, winterrisk_command) -> None:
    folder = small_course(tmp_path / "course", sample)
    with (folder / "course.toml").open("a", encoding="utf-8") as file:
        file.write('\n[forecast]\nsource = "file"\nfile = "forecast.nc"\n')
    told(folder, 6.0)
    work = read_work(folder, TINY)
    ahead = days_ahead("archived", work.course, lambda: pytest.fail("nothing is made"))
    assert ahead(NIGHT - dt.timedelta(days=1)) is None, "not known yet"
    forecast = ahead(NIGHT)
    assert forecast is not None and forecast.attrs["source"] == "Moor ensemble (invented)"
    nights = list(backcast_nights(folder, work, [NIGHT - dt.timedelta(days=1), NIGHT], ahead=ahead))
    assert [bool(n.record["data"]["forecast"]) for n in nights] == [False, True]


def test_the_table_says_which(course: Path, winterrisk_command) -> None:
    code, out, _ = winterrisk_command("backcast", course, "2023-24", "--every", "80", "--forecast", "errors")
    assert code == 0
    assert out.splitlines()[1].startswith("forecast: errors: made afterwards")
