"""False flags are rare: the checks on real records and on the sample, and 30 years of hours pass through."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_real_records import airport, alpine, champion, network, northern, record
from tests_weather_files import Place, invented_hours

from winterrisk.course import read_course
from winterrisk.weather import read_course_station
from winterrisk.weather.checks import checked

LATER = np.datetime64("2030-01-01")


def bad_share(raw: xr.Dataset, place, **options) -> float:
    """Share of the values that were left out."""
    found = checked(raw, now=LATER, place=place, **options)
    known = sum(int(raw[n].notnull().sum()) for n in raw.data_vars)
    return 1.0 - sum(int(found.raw[n].notnull().sum()) for n in raw.data_vars) / known


def test_of_the_sample_only_its_stuck_week_is_bad(sample: Path):
    """The sample's maker froze the thermometer from 15 February 2024 18:00 to 22 February 17:00 UTC; thaws of
    10 degC in January and the freeze after the thaw of February 2025 stand."""
    course = read_course(sample)
    raw = read_course_station(course)
    found = checked(raw, now=LATER, place=course.place)
    bad = found.rows[found.rows["verdict"] == "bad"]
    assert bad[["what", "check"]].values.tolist() == [["air_temperature", "flat_line"]]
    assert (bad["time"].iloc[0], bad["until"].iloc[0]) == (
        pd.Timestamp("2024-02-15T18:00"),
        pd.Timestamp("2024-02-22T18:00"),
    )
    assert int(found.raw["air_temperature"].isnull().sum() - raw["air_temperature"].isnull().sum()) == 168
    assert "unconfirmed" not in set(found.rows["verdict"])
    assert len(found.rows) <= 5


def test_champion_has_no_bad_value_in_37_years():
    pytest.importorskip("aquacrop", reason="aquacrop holds the record")
    raw, place = champion()
    assert bad_share(raw, place) == 0.0
    assert bad_share(raw, place, downslope=True) == 0.0
    assert len(checked(raw, now=LATER, place=place).rows) <= 4


@pytest.mark.parametrize("read", [airport, alpine, northern], ids=["airport", "alpine", "northern"])
def test_field_records_have_no_bad_value(field_data: Path, read):
    raw, place = read(field_data)
    assert bad_share(raw, place) == 0.0
    rows = checked(raw, now=LATER, place=place).rows
    assert set(rows["verdict"]) <= {"suspect"} and len(rows) <= 12


def test_network_records_have_no_row(field_data: Path):
    for raw, place in network(field_data).values():
        assert not len(checked(raw, now=LATER, place=place).rows)


def test_published_thaws_and_freezes_pass(field_data: Path):
    """Three published events as hours: 7 to 10 degC then -18 in four nights, and the like."""
    table = pd.read_csv(field_data / "events_weather_hourly.csv")
    for _, event in table.groupby("event"):
        values = {
            "air_temperature": event["air_temperature_c"],
            "dew_point": event["dew_point_c"],
            "wind_speed": event["wind_ms"],
            "precipitation": event["precipitation_mm"],
        }
        times = pd.to_datetime(event["time_local"]) + pd.Timedelta(hours=5)
        place = Place(43.0, -75.0, 100.0, "America/New_York")
        raw = record(times, values, "hourly", place, "event")
        rows = checked(raw, now=LATER, place=place).rows
        assert not set(rows["verdict"]) & {"bad", "unconfirmed"}, rows["words"].tolist()


def test_invented_hours_of_other_tests_lose_nothing():
    hours = invented_hours("2020-07-01", "2024-02-29T23:00")
    raw = record(hours.index, {n: hours[n].to_numpy() for n in hours}, "hourly", Place(), "invented")
    assert bad_share(raw, Place()) == 0.0


def test_empty_and_short_records_pass():
    nothing = {"air_temperature": np.full(48, np.nan), "precipitation": np.full(48, np.nan)}
    hours = pd.date_range("2024-01-01", periods=48, freq="h")
    assert not len(checked(record(hours, nothing, "hourly", Place(), "e"), now=LATER, place=Place()).rows)
    one = {"air_temperature": np.array([1.0]), "precipitation": np.array([0.0])}
    assert not len(checked(record(hours[:1], one, "hourly", Place(), "e"), now=LATER, place=Place()).rows)
    days = {"air_temperature_max": np.array([1.0]), "air_temperature_min": np.array([-2.0])}
    assert not len(checked(record(hours[:1], days, "daily", Place(), "e"), now=LATER, place=Place()).rows)
