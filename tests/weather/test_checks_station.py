"""What the record as a whole says of the station: gauge, clock, place, and a second source."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_real_records import planted, record, turned

from winterrisk.course import Course, read_course
from winterrisk.weather import read_course_station
from winterrisk.weather.checks import Checked, checked, description_changed

T = "air_temperature"
NOW = np.datetime64("2026-03-01T10:00")


@pytest.fixture(scope="module")
def course(sample: Path) -> Course:
    return read_course(sample)


@pytest.fixture(scope="module")
def raw(course: Course) -> xr.Dataset:
    return read_course_station(course).sel(time=slice("2022-07-01", None))


@pytest.fixture
def look(course: Course):
    def run(record: xr.Dataset, **options) -> Checked:
        return checked(record, now=NOW, place=course.place, **options)

    return run


def of(found: Checked, check: str) -> pd.DataFrame:
    return found.rows[found.rows["check"] == check]


def test_a_heated_gauge_is_no_note_and_an_unheated_one_is(raw, look):
    assert not len(of(look(raw), "looks_unheated"))
    unheated = raw.assign(precipitation=raw["precipitation"].where(raw[T] > -0.5, 0.0))
    found = of(look(unheated), "looks_unheated")
    assert len(found) == 4 and set(found["verdict"]) == {"note"}  # every winter of the four
    words = found["words"].iloc[0]
    assert "the gauge looks unheated: 0 of " in words and " h" in words
    assert 'set gauge.kind = "unheated" in course.toml if it is, or look at its heating' in words
    xr.testing.assert_identical(
        look(unheated).raw["precipitation"].isnull(), unheated["precipitation"].isnull()
    )


def test_rising_snow_alone_shows_an_unheated_gauge(raw, look):
    """A gauge that never shows anything: the wet share of mild air cannot tell."""
    winter = raw.sel(time=slice("2024-10-01", "2025-04-30"))
    depth = np.zeros(winter.sizes["time"])
    cold = np.flatnonzero(winter[T].to_numpy() < -6.0)
    for at in cold[:: len(cold) // 10][:10]:
        depth[at:] += 0.03
    dry = winter.assign(precipitation=winter["precipitation"] * 0.0, snow_depth=("time", depth))
    found = of(look(dry), "looks_unheated")
    assert len(found) == 1 and "while snow depth rose by" in found["words"].iloc[0]
    few = dry.assign(snow_depth=dry["snow_depth"] * 0.3)
    assert not len(of(look(few), "looks_unheated"))


def test_a_dry_cold_winter_is_not_called_unheated(raw, look):
    winter = raw.sel(time=slice("2024-10-01", "2025-04-30"))
    dry = winter.assign(precipitation=winter["precipitation"] * 0.0, snow_depth=winter["snow_depth"] * 0.0)
    assert not len(of(look(dry), "looks_unheated"))


@pytest.mark.parametrize(("hours", "way"), [(2, "late"), (3, "late"), (-2, "early"), (1, None), (0, None)])
def test_a_clock_against_the_sun(raw, look, hours, way):
    moved = raw.assign_coords(time=raw["time"].to_numpy() + np.timedelta64(hours, "h"))
    found = of(look(moved), "clock_off")
    if way is None:
        assert not len(found)
        return
    assert found["verdict"].tolist() == ["note"]
    assert found["value"].iloc[0] == pytest.approx(hours, abs=0.3)
    assert f"the sun peaks {abs(hours)}.0 h too {way} by this clock" in found["words"].iloc[0]
    assert "check station.utc_offset, station.label and the logger's clock" in found["words"].iloc[0]


def test_a_clock_without_a_sun_sensor(raw, look):
    dark = raw.drop_vars("shortwave_down")
    assert not len(of(look(dark), "clock_off"))
    moved = dark.assign_coords(time=dark["time"].to_numpy() + np.timedelta64(5, "h"))
    found = of(look(moved), "clock_off")
    assert len(found) == 1 and "the day's warmth peaks" in found["words"].iloc[0]


def test_a_logger_that_was_reset_in_mid_record(raw, look):
    late = raw.sel(time=slice("2025-03-01", "2025-09-30"))
    shifted = late.roll(time=4, roll_coords=False)
    mixed = xr.concat(
        [raw.sel(time=slice(None, "2025-02-28T23:00")), shifted, raw.sel(time=slice("2025-10-01", None))],
        "time",
    )
    row = of(look(mixed), "clock_off")
    assert len(row) == 1
    assert row["time"].iloc[0] == pd.Timestamp("2025-03-01")
    assert row["until"].iloc[0] == pd.Timestamp("2025-10-01")


def _on_local_clock(raw: xr.Dataset, timezone: str) -> xr.Dataset:
    """The record as a file in local clock time gives it: one hour lacks in spring, one of two is kept in
    autumn."""
    utc = pd.DatetimeIndex(raw["time"].to_numpy())
    local = utc.tz_localize("UTC").tz_convert(timezone).tz_localize(None)
    table = raw.to_dataframe().set_axis(local - (local - utc).min())
    table = table[~table.index.duplicated()]
    table = table.reindex(pd.date_range(table.index[0], table.index[-1], freq="h"))
    return xr.Dataset(
        {n: ("time", table[n].to_numpy()) for n in table}, coords={"time": table.index}, attrs=raw.attrs
    )


def test_a_file_on_summer_time(raw, look, course):
    assert not len(of(look(raw), "summer_time"))
    local = _on_local_clock(raw, course.timezone)
    for seen in (local, local.drop_vars("shortwave_down")):
        row = of(look(seen), "summer_time").iloc[0]
        assert (row["verdict"], row["value"]) == ("note", 3.0)
        assert row["time"] == pd.Timestamp("2025-03-09T08:00")  # 02:00 local, the hour that is not
        assert "one hour lacks on the day the clocks go forward (3 of 3 springs)" in row["words"]
        assert "give the file in standard time all year and set station.utc_offset for it" in row["words"]
    bridged = local.interpolate_na("time")
    words = of(look(bridged), "summer_time")["words"].iloc[0]
    assert "the sun shifts by 1.0 h where the clocks change" in words


def test_a_station_that_moved_against_a_second_source(raw, look):
    rng = np.random.default_rng(0)
    second = raw[[T]] + rng.normal(0.5, 1.5, raw.sizes["time"])
    second.attrs = {**raw.attrs, "station": "airport"}
    assert not len(of(look(raw, second=second), "level_shift"))
    moved = turned(raw, T, "2024-07-01", "2026-03-01", lambda x: x + 2.0)
    row = of(look(moved, second=second), "level_shift").iloc[0]
    assert (row["what"], row["verdict"]) == (T, "note")
    assert row["value"] == pytest.approx(2.0, abs=0.2)
    assert row["time"] == pd.Timestamp("2024-07-01")
    assert "2.0 °C higher against the second source from about here on" in row["words"]
    assert row["words"].endswith(
        "if the station or its sensor was moved, start a new station file from that day"
    )


def test_a_station_that_moved_uphill_shows_in_its_pressure(raw, look):
    waves = 970.0 + 8.0 * np.sin(np.arange(raw.sizes["time"]) / 40.0)
    still = raw.assign(surface_pressure=("time", waves))
    assert not len(of(look(still), "level_shift"))
    moved = turned(still, "surface_pressure", "2024-07-01", "2026-03-01", lambda x: x - 6.0)
    row = of(look(moved), "level_shift").iloc[0]
    assert row["what"] == "surface_pressure" and row["value"] == pytest.approx(-6.0, abs=0.2)
    assert "hPa lower from about here on; kept; if the station" in row["words"]


def test_a_description_that_changed(raw):
    before = {"station": "yard", "latitude": 46.603, "height_wind": 10.0, "elevation": 378.0}
    after = {"station": "yard", "latitude": 46.703, "height_wind": 2.0, "elevation": 378.5}
    rows = description_changed(before, after, np.datetime64("2025-01-10T06:00"))
    assert len(rows) == 2 and set(rows["verdict"]) == {"note"}
    assert (
        "the station seems to have moved: latitude 46.603 before and 46.703 degrees now"
        in rows["words"].iloc[0]
    )
    assert "height wind 10 before and 2 m now" in rows["words"].iloc[1]
    assert not len(description_changed(before, before, np.datetime64("2025-01-10T06:00")))


def test_a_stretch_that_a_second_source_contradicts_is_suspect(raw, look):
    rng = np.random.default_rng(1)
    second = raw[[T]] * 0.9 + 1.0 + rng.normal(0.0, 1.2, raw.sizes["time"])
    second.attrs = {**raw.attrs, "station": "airport"}
    assert not len(
        of(look(raw, second=second), "far_from_second").query("time < '2024-02-15' or time > '2024-02-23'")
    )
    slow = np.concatenate([np.linspace(0, 12, 12), np.full(30, 12.0), np.linspace(12, 0, 12)])
    at = raw[T].sel(time=slice("2025-01-12T00:00", None)).to_numpy()[: len(slow)]
    found = look(planted(raw, T, "2025-01-12T00:00", at + slow), second=second)
    rows = of(found, "far_from_second").query("time > '2025-01-01'")
    assert len(rows) and set(rows["verdict"]) == {"suspect"}
    assert (
        "above what airport makes expect; kept; find out which of the two is right" in rows["words"].iloc[0]
    )
    assert np.isfinite(found.raw[T].sel(time="2025-01-13")).all()


def test_a_second_source_that_is_not_alike_judges_nothing(raw, look):
    rng = np.random.default_rng(2)
    second = raw[[T]] * 0.0 + rng.normal(0.0, 5.0, raw.sizes["time"])
    second.attrs = raw.attrs
    assert not len(of(look(raw, second=second), "far_from_second"))


def test_daily_record_of_an_unheated_gauge():
    rng = np.random.default_rng(5)
    days = pd.date_range("2015-07-01", "2019-06-30")
    wave = np.cos(2 * np.pi * (days.day_of_year.to_numpy() - 201) / 365.25)
    high = 6.0 + 16.0 * wave + rng.normal(0, 4, len(days))
    wet = np.where(rng.random(len(days)) < 0.3, rng.gamma(1.0, 5.0, len(days)) + 0.3, 0.0)
    values = {"air_temperature_max": high, "air_temperature_min": high - 8.0, "precipitation": wet}
    place = type("P", (), {"latitude": 46.0, "longitude": -95.0, "elevation": 300.0, "timezone": "UTC"})()
    heated = record(days, values, "daily", place, "days")
    look = lambda raw: checked(raw, now=np.datetime64("2030-01-01"), place=place)  # noqa: E731
    assert not len(of(look(heated), "looks_unheated"))
    values["precipitation"] = np.where(high < 0, 0.0, wet)
    assert len(of(look(record(days, values, "daily", place, "days")), "looks_unheated")) == 4
