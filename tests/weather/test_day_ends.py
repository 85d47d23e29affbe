"""Daily readings taken in the morning or the evening: rain, warmth and what was known at the right hours."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_weather_files import Place, invented_hours

from winterrisk.weather import complete, known_by, possible
from winterrisk.weather.daily_to_hourly import daily_to_hourly, other_hours_of_rain
from winterrisk.weather.day_ends import day_ends_of
from winterrisk.weather.known import interval_ends
from winterrisk.weather.local_days import hours_of_days

ZONE = "America/Winnipeg"
READINGS = (7, 17)


def read_at(
    ends: int, first: str = "2022-10-01", last: str = "2023-05-31"
) -> tuple[pd.DataFrame, xr.Dataset]:
    """Invented hours, and what an observer who reads at a clock hour would have written down of them."""
    hours = invented_hours("2022-09-01", "2023-06-30T23:00")
    local = hours.index.tz_localize("UTC").tz_convert(ZONE).tz_localize(None)
    row = pd.DatetimeIndex(local + pd.Timedelta(hours=24 - ends)).normalize()
    grouped = hours.groupby(row)
    rows = pd.DataFrame(
        {
            "air_temperature_max": grouped["air_temperature"].max(),
            "air_temperature_min": grouped["air_temperature"].min(),
            "precipitation": grouped["precipitation"].sum(),
            "wind_speed": grouped["wind_speed"].mean(),
        }
    ).loc[first:last]
    rows.index.name = "time"
    attrs = {"step": "daily", "timezone": ZONE, "station": "invented observer", "day_ends": ends}
    return hours, rows.to_xarray().assign_attrs(attrs)


def as_rows(weather: xr.Dataset, ends: int) -> pd.core.groupby.DataFrameGroupBy:
    local = pd.DatetimeIndex(weather["time"].to_numpy(), tz="UTC").tz_convert(ZONE).tz_localize(None)
    row = pd.DatetimeIndex(local + pd.Timedelta(hours=24 - ends)).normalize()
    return weather[["air_temperature", "precipitation"]].to_dataframe().groupby(row)


@pytest.mark.parametrize("ends", READINGS)
def test_each_reading_comes_back_from_its_own_hours(ends):
    _, raw = read_at(ends)
    weather = daily_to_hourly(raw, Place(), ("x",))
    back = as_rows(weather, ends)
    assert back["precipitation"].sum().to_numpy() == pytest.approx(raw["precipitation"].to_numpy())
    inside = slice(2, -1)  # an evening observer's first row has no morning before it
    highest = back["air_temperature"].max().to_numpy()[inside]
    lowest = back["air_temperature"].min().to_numpy()[inside]
    high, low = raw["air_temperature_max"].to_numpy()[inside], raw["air_temperature_min"].to_numpy()[inside]
    assert (highest <= high + 1e-9).all()
    assert (lowest >= low - 1e-9).all()
    assert np.mean(np.isclose(highest, high)) > 0.9
    assert np.mean(np.isclose(lowest, low)) > 0.9


@pytest.mark.parametrize("ends", READINGS)
def test_a_reading_taken_for_a_calendar_day_is_worse(ends):
    """The same rows read as calendar days put the warmth of a morning observer a day late."""
    hours, raw = read_at(ends)
    errors = {}
    for told in (ends, 24):
        weather = daily_to_hourly(raw.assign_attrs(day_ends=told), Place(), ("x",))
        truth = hours["air_temperature"].reindex(weather["time"].to_numpy()).to_numpy()
        errors[told] = float(np.sqrt(np.nanmean((weather["air_temperature"].to_numpy() - truth) ** 2)))
    assert errors[ends] < 2.7  # K; invented hours whose anomaly has a spread of 4 K
    assert errors[ends] < (0.67 if ends == 7 else 1.0) * errors[24]


def test_rain_of_a_morning_reading_fell_before_it():
    _, raw = read_at(7)
    quiet = raw.copy(deep=True)
    quiet["precipitation"][:] = 0.0
    quiet["precipitation"][40] = 12.0
    weather = daily_to_hourly(quiet, Place(), ("x",))
    wet = weather["time"].to_numpy()[weather["precipitation"].to_numpy() > 0]
    date = pd.Timestamp(raw["time"].to_numpy()[40])
    reading = (date + pd.Timedelta(hours=7)).tz_localize(ZONE).tz_convert("UTC").tz_localize(None)
    assert wet.min() >= np.datetime64(reading - pd.Timedelta(hours=24))
    assert wet.max() < np.datetime64(reading)
    other = other_hours_of_rain(
        weather["precipitation"].to_numpy(), weather["time"].to_numpy(), ZONE, ("y",), ends=7
    )
    moved = weather["time"].to_numpy()[other > 0]
    assert moved.tolist() != wet.tolist()
    assert moved.min() >= np.datetime64(reading - pd.Timedelta(hours=24))
    assert moved.max() < np.datetime64(reading)


def test_the_lowest_of_a_morning_row_is_that_morning_and_the_highest_the_day_before():
    _, raw = read_at(7)
    raw = raw.copy(deep=True)
    raw["air_temperature_min"][60], raw["air_temperature_max"][60] = -33.0, 11.0
    weather = daily_to_hourly(raw, Place(), ("x",))
    local = pd.DatetimeIndex(weather["time"].to_numpy(), tz="UTC").tz_convert(ZONE)
    t = pd.Series(weather["air_temperature"].to_numpy(), local)
    date = pd.Timestamp(raw["time"].to_numpy()[60]).date()
    coldest, warmest = t.idxmin(), t.loc[: str(date)].iloc[-60:].idxmax()
    assert coldest.date() == date
    assert 4 <= coldest.hour < 7
    assert (date - warmest.date()).days == 1
    assert 13 <= warmest.hour <= 17


def test_a_reading_is_known_an_hour_after_it():
    for ends, last in ((7, 8), (17, 18)):
        _, raw = read_at(ends)
        date = raw["time"].to_numpy()[100].astype("datetime64[D]")
        at = pd.Timestamp(date) + pd.Timedelta(hours=last)
        instant = np.datetime64(at.tz_localize(ZONE).tz_convert("UTC").tz_localize(None))
        assert known_by(raw, instant)["time"].to_numpy()[-1] == date
        assert known_by(raw, instant - np.timedelta64(1, "m"))["time"].to_numpy()[-1] == date - 1
        assert interval_ends(raw)[100] == instant - np.timedelta64(1, "h")
        weather = complete(known_by(raw, instant), Place(), "x")
        assert weather["time"].to_numpy()[-1] == instant - np.timedelta64(2, "h")


def test_the_end_of_a_morning_record_is_measured_and_its_first_rise_is_not():
    _, raw = read_at(7)
    weather = daily_to_hourly(raw, Place(), ("x",))
    origin = weather["air_temperature_origin"].to_numpy()
    assert (origin[12:] == 0).all()
    assert (origin[:6] == 3).all()  # no row tells how cold that morning was


def test_missing_readings_leave_their_own_hours_open():
    _, raw = read_at(7)
    raw = raw.copy(deep=True)
    for name in ("air_temperature_min", "air_temperature_max", "precipitation"):
        raw[name][80] = np.nan
    raw["air_temperature_max"][90] = np.nan
    weather = daily_to_hourly(raw, Place(), ("x",))
    hours = hours_of_days(raw["time"].to_numpy(), ZONE, 7)
    of_80, of_90 = hours.day_of_hour == 80, hours.day_of_hour == 90
    assert np.isnan(weather["air_temperature"].to_numpy()[of_80]).all()
    assert np.isnan(weather["precipitation"].to_numpy()[of_80]).all()
    assert np.isfinite(weather["air_temperature"].to_numpy()[~of_80]).all()
    assert (weather["air_temperature_origin"].to_numpy()[of_90] == 3).all()


@pytest.mark.parametrize("told", [24, 0, None, 24.0])
def test_midnight_is_the_calendar_day_to_the_last_bit(told):
    _, raw = read_at(24)
    plain = raw.copy()
    del plain.attrs["day_ends"]
    said = raw.copy()
    if told is None:
        del said.attrs["day_ends"]
    else:
        said.attrs["day_ends"] = told
    assert day_ends_of(said) == 24
    assert daily_to_hourly(said, Place(), ("x",)).equals(daily_to_hourly(plain, Place(), ("x",)))
    assert (interval_ends(said) == interval_ends(plain)).all()


def test_an_hourly_station_does_not_mind_when_daily_readings_end(hours, place):
    frame = hours.iloc[-3000:]
    raw = frame.to_xarray().assign_attrs(step="hourly", timezone=ZONE, station="invented")
    now = frame.index[-500].to_numpy()
    plain = complete(known_by(raw, now), place, "x")
    said = complete(known_by(raw.assign_attrs(day_ends=7), now), place, "x")
    assert said.equals(plain)
    assert possible(said, members=3, key="x").equals(possible(plain, members=3, key="x"))


@pytest.mark.parametrize("ends", [1, 5, 7, 9, 12, 13, 17, 21, 23])
@pytest.mark.parametrize(
    ("zone", "longitude"), [("America/Chicago", -88.0), ("Europe/Oslo", 10.7), ("America/St_Johns", -52.7)]
)
def test_any_clock_hour_gives_days_of_23_to_25_hours(ends, zone, longitude):
    days = np.arange("2023-03-01", "2023-11-15", dtype="datetime64[D]").astype("datetime64[ns]")
    hours = hours_of_days(days, zone, ends)
    assert set(hours.length.tolist()) == {23, 24, 25}
    assert hours.length.sum() == len(hours.times)
    low, high = np.full(len(days), -5.0), np.full(len(days), 5.0)
    rows = {"air_temperature_min": low, "air_temperature_max": high, "precipitation": np.ones(len(days))}
    raw = xr.Dataset({n: ("time", v) for n, v in rows.items()}, coords={"time": days})
    weather = daily_to_hourly(
        raw.assign_attrs(step="daily", timezone=zone, day_ends=ends),
        Place(longitude=longitude, timezone=zone),
        ("x",),
    )
    t = weather["air_temperature"].to_numpy()
    assert np.nanmax(t) == 5.0
    assert np.nanmin(t) == -5.0
    assert np.isnan(t).sum() <= (24 - ends if ends > 12 else 0)
    assert weather["precipitation"].sum() == pytest.approx(len(days))
