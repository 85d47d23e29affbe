"""Stretches in another unit, planted into real and invented records: found, bounded, named."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_real_records import alpine, champion, turned

from winterrisk.course import read_course
from winterrisk.weather import read_course_station
from winterrisk.weather.checks import checked

T = "air_temperature"
FIRST, LAST = "2025-01-10T06:00", "2025-01-16T06:00"


@pytest.fixture(scope="module")
def raw(sample: Path) -> xr.Dataset:
    return read_course_station(read_course(sample))


@pytest.fixture(scope="module")
def look(sample: Path):
    place = read_course(sample).place

    def run(record: xr.Dataset, **options) -> tuple[pd.DataFrame, xr.Dataset]:
        """Rows of slips, and the working copy."""
        found = checked(record, now=np.datetime64("2026-03-01T10:00"), place=place, **options)
        return found.rows[found.rows["check"] == "unit_slip"], found.raw

    return run


TEMPERATURE_SLIPS = {
    "°F taken for °C": lambda x: 1.8 * x + 32.0,
    "kelvin taken for °C": lambda x: x + 273.15,
    "°C taken for °F": lambda x: (x - 32.0) / 1.8,
}


@pytest.mark.parametrize("likely", TEMPERATURE_SLIPS)
def test_temperature_in_another_scale(raw, look, likely):
    first, last = (FIRST, LAST) if likely != "°C taken for °F" else ("2024-11-20T06:00", "2024-11-23T06:00")
    record = turned(raw, T, first, last, TEMPERATURE_SLIPS[likely])
    rows, copy = look(record)
    assert len(rows) == 1
    row = rows.iloc[0]
    assert (row["what"], row["verdict"]) == (T, "bad")
    assert (row["time"], row["until"]) == (pd.Timestamp(first), pd.Timestamp(last))
    assert likely in row["words"] and "would be" in row["words"]
    assert row["words"].endswith(
        "give these rows in the unit of the rest of the file (station.columns.air_temperature)"
    )
    assert np.isnan(copy[T].sel(time=slice(first, np.datetime64(last) - np.timedelta64(1, "h")))).all()


def test_the_value_and_what_it_would_be(raw, look):
    rows, _ = look(turned(raw, T, FIRST, LAST, TEMPERATURE_SLIPS["°F taken for °C"]))
    value, true = rows["value"].iloc[0], rows["limit"].iloc[0]
    assert true == pytest.approx((value - 32) / 1.8)
    assert f"{value:.1f} °C would be {true:.1f} °C" in rows["words"].iloc[0]


@pytest.mark.parametrize("since", ["2026-02-26T06:00", "2026-02-28T11:00"])
def test_a_slip_that_is_going_on_tonight(raw, look, since):
    """Only one edge is there yet: with the usual of six winters, and in a record of a single winter."""
    slip = turned(raw, T, since, "2026-03-01", TEMPERATURE_SLIPS["°F taken for °C"])
    for record in (slip, slip.sel(time=slice("2025-10-01", None))):
        rows, _ = look(record)
        assert [(r.time, r.until) for r in rows.itertuples()] == [
            (pd.Timestamp(since), pd.Timestamp("2026-03-01"))
        ]


def test_a_chinook_is_no_slip_in_its_country(raw, look):
    """From -20 to -4 degC within an hour and back next day: in degF it would fit."""
    warm = turned(raw, T, "2025-01-12T10:00", "2025-01-13T10:00", lambda x: x + 15.0)
    record = warm.sel(time=slice("2024-10-01", None))
    assert not len(look(record, downslope=True)[0])


def test_precipitation_in_cm_and_inches(raw, look):
    for likely, factor in (("cm taken for mm", 0.1), ("inches taken for mm", 1 / 25.4)):
        record = turned(raw, "precipitation", "2024-11-01", "2025-02-01", lambda x, f=factor: x * f)
        rows, copy = look(record)
        assert len(rows) == 1 and rows["what"].iloc[0] == "precipitation"
        assert likely in rows["words"].iloc[0]
        inside = copy["precipitation"].sel(time=slice("2024-11-10", "2025-01-20"))
        assert np.isnan(inside).mean() > 0.9
        outside = copy["precipitation"].sel(time=slice("2025-02-20", None))
        assert np.isfinite(outside).all()


def test_precipitation_ten_times_too_large(raw, look):
    record = turned(raw, "precipitation", "2024-11-01", "2025-02-01", lambda x: x * 10.0)
    rows, _ = look(record)
    assert len(rows) == 1 and "mm taken for cm" in rows["words"].iloc[0]


def test_daily_precipitation_in_inches():
    record, place = champion()
    slip = turned(record, "precipitation", "2009-04-01", "2009-11-01", lambda x: x / 25.4)
    found = checked(slip, now=np.datetime64("2030-01-01"), place=place).rows
    rows = found[found["check"] == "unit_slip"]
    assert len(rows) == 1 and "inches taken for mm" in rows["words"].iloc[0]


def test_wind_in_km_per_hour(raw, look):
    record = turned(raw, "wind_speed", "2025-01-10", "2025-01-20", lambda x: x * 3.6)
    rows, copy = look(record)
    assert len(rows) == 1 and rows["what"].iloc[0] == "wind_speed"
    assert "wind looks like km/h taken for m/s" in rows["words"].iloc[0]
    assert abs(rows["time"].iloc[0] - pd.Timestamp("2025-01-10")) <= pd.Timedelta(hours=12)
    assert abs(rows["until"].iloc[0] - pd.Timestamp("2025-01-20")) <= pd.Timedelta(hours=12)
    assert np.isnan(copy["wind_speed"].sel(time=slice("2025-01-11", "2025-01-18"))).all()


@pytest.mark.parametrize(("likely", "factor"), [("mm taken for cm", 10.0), ("inches taken for cm", 1 / 2.54)])
def test_snow_depth_in_mm_and_inches(field_data, likely, factor):
    record, place = alpine(field_data)
    slip = turned(record, "snow_depth", "2006-02-01", "2006-02-08", lambda x: x * factor)
    found = checked(slip, now=np.datetime64("2030-01-01"), place=place)
    rows = found.rows[found.rows["check"] == "unit_slip"]
    assert len(rows) == 1 and likely in rows["words"].iloc[0]
    assert rows["time"].iloc[0] == pd.Timestamp("2006-02-01")
    assert rows["until"].iloc[0] == pd.Timestamp("2006-02-08")


def test_snow_cleared_under_the_sensor_is_no_slip(raw, look):
    record = raw.assign(snow_depth=raw["snow_depth"] + 0.4)
    for left in (0.1, 0.4):
        cleared = turned(record, "snow_depth", "2025-01-10T15:00", "2026-03-01", lambda x, k=left: x * k)
        rows, copy = look(cleared)
        assert not len(rows)
        assert np.isfinite(copy["snow_depth"].sel(time="2025-01-20")).all()


def test_the_record_between_two_short_faults_is_no_slip(raw, look):
    """Five hours at ten times the depth, twice, and five warm hours, twice: the weeks between are sound."""
    winter = raw.sel(time=slice("2025-10-01", None)).assign(
        snow_depth=lambda r: r["air_temperature"] * 0 + 0.05
    )
    for first, last in (("2026-01-05T04:00", "2026-01-05T09:00"), ("2026-01-25T04:00", "2026-01-25T09:00")):
        winter = turned(winter, "snow_depth", first, last, lambda x: x * 10.0)
        winter = turned(winter, T, first, last, lambda x: x * 0.0 + 18.0)
    rows, copy = look(winter)
    assert not len(rows)
    assert np.isfinite(copy[["snow_depth", T]].sel(time=slice("2026-01-06", "2026-01-24")).to_array()).all()
