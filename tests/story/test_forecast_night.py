"""A night with a forecast: the thaw it tells of is in the paths, kept, told, and gone when nobody knew it yet."""

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from small_courses import small_course

from winterrisk import nightly
from winterrisk.weather.forecast import forecast_dataset
from winterrisk.weather.write_forecast import write_forecast

QUICK = nightly.Settings(n_ground=2, n_paths=4, n_draws=20)
AT_FIVE = np.datetime64("2024-01-15T11:00")
NIGHT = dt.date(2024, 1, 15)
HOURS = 24 * 7
HOUR = np.timedelta64(1, "h")


@pytest.fixture
def course(tmp_path: Path, sample: Path) -> Path:
    folder = small_course(tmp_path / "course", sample)
    with (folder / "course.toml").open("a", encoding="utf-8") as file:
        file.write('\n[forecast]\nsource = "file"\nfile = "forecast.nc"\n')
    return folder


def told(course: Path, temperature: float, received: np.datetime64 = AT_FIVE - HOUR) -> None:
    """A forecast of one steady temperature with 12 mm of water on its third day, kept in the course folder."""
    time = AT_FIVE - HOUR + np.arange(HOURS) * HOUR
    wet = (np.arange(HOURS) >= 48) & (np.arange(HOURS) < 60)
    forecast = forecast_dataset(
        time,
        {
            "air_temperature": np.full(HOURS, temperature),
            "dew_point": np.full(HOURS, temperature - 1.0),
            "wind_speed": np.full(HOURS, 3.0),
            "precipitation": np.where(wet, 1.0, 0.0),
            "cloud_cover": np.full(HOURS, 0.9),
        },
        source="Moor ensemble (invented)",
        issued=received - HOUR,
        received=received,
        licence="invented",
        credit="Invented forecast.",
    )
    write_forecast(course, forecast)


def work(course: Path, clock: np.datetime64 = AT_FIVE) -> tuple[nightly.Night, list[str]]:
    lines: list[str] = []
    night = nightly.run(course, NIGHT, clock=clock, send=False, settings=QUICK, tell=lines.append)
    return night, lines


def test_the_days_ahead_are_those_of_the_forecast(course: Path) -> None:
    told(course, 6.0)
    warm, lines = work(course)
    assert any("forecast.nc" in line for line in lines), "what could not be fetched is said"
    data = warm.record["data"]
    assert data["forecast"]["source"] == "Moor ensemble (invented)"
    assert data["ahead"].startswith("forecast of Moor ensemble (invented) to 2024-01-22, then")
    events = {event["kind"]: event for event in data["events"]}
    thaw = next(e for kind, e in events.items() if "thaw" in kind)
    assert thaw["chance"] > 0.9 and thaw["how"] == "concrete"
    assert "Forecast: Moor ensemble (invented)." in warm.alert
    page = (warm.folder / "page.html").read_text(encoding="utf-8")  # type: ignore[operator]
    assert "Invented forecast." in page and "Thaw" in page


def test_cold_and_warm_forecasts_give_other_winters(course: Path, tmp_path: Path) -> None:
    days = {}
    for name, temperature in (("cold", -15.0), ("warm", 6.0)):
        home = tmp_path / name
        import shutil

        shutil.copytree(course, home)
        told(home, temperature)
        night, _ = work(home)
        day = night.winter_days.sel(day="2024-01-20", zone="1 low")
        days[name] = float(day["crown_temperature_max"].mean())
    assert days["warm"] > days["cold"] + 0.5


def test_a_forecast_that_came_later_was_not_known(course: Path) -> None:
    told(course, 6.0, received=AT_FIVE + 5 * HOUR)
    night, _ = work(course, AT_FIVE + 24 * 9 * HOUR)
    assert night.record["data"]["forecast"] is None and night.record["data"]["events"] == []


def test_the_same_night_again_is_the_same(course: Path) -> None:
    told(course, 6.0)
    first, _ = work(course)
    again, _ = work(course)
    assert again.folder == first.folder and again.record == first.record
