"""Faults planted into the sample's hours: each is found, told in plain words, and left out of the copy."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_real_records import planted, record, turned
from tests_weather_files import Place, invented_hours

from winterrisk.course import Course, read_course
from winterrisk.weather import read_course_station
from winterrisk.weather.checks import ALL, COLUMNS, Checked, checked

T = "air_temperature"
NOW = np.datetime64("2026-03-01T10:00")
HOUR = np.timedelta64(1, "h")


@pytest.fixture(scope="module")
def course(sample: Path) -> Course:
    return read_course(sample)


@pytest.fixture(scope="module")
def raw(course: Course) -> xr.Dataset:
    """The sample's hours from autumn 2024 on: no fault is known there."""
    return read_course_station(course).sel(time=slice("2024-10-01", None))


@pytest.fixture
def look(course: Course):
    """Checks a record of the sample course."""

    def run(record: xr.Dataset, **options) -> Checked:
        return checked(record, now=options.pop("now", NOW), place=course.place, **options)

    return run


def one(found: Checked, check: str) -> pd.Series:
    """The only row of a check, the sample's own still dew points of August aside."""
    rows = found.rows[(found.rows["check"] == check) & (found.rows["time"].dt.month != 8)]
    assert len(rows) == 1, found.rows["words"].tolist()
    return rows.iloc[0]


def gone(before: xr.Dataset, after: Checked, name: str) -> list[np.datetime64]:
    """Times whose value was left out."""
    lost = np.isfinite(before[name].to_numpy()) & ~np.isfinite(after.raw[name].to_numpy())
    return list(before["time"].to_numpy()[lost])


def test_a_clean_winter_and_a_half_gives_no_row_but_a_suspect_dew_point(raw, look):
    found = look(raw)
    assert set(found.rows["verdict"]) <= {"suspect"}
    assert set(found.rows["what"]) <= {"dew_point"}
    xr.testing.assert_identical(found.raw, raw)


def test_what_a_check_hands_back(raw, look):
    found = look(planted(raw, T, "2025-01-10T06:00", 9.0))
    assert tuple(found.rows.columns) == COLUMNS
    assert found.rows["time"].dtype == found.rows["until"].dtype == "datetime64[ns]"
    assert found.rows["value"].dtype == float


def test_nothing_is_overwritten_and_only_bad_values_are_left_out(raw, look):
    record = planted(raw, T, "2025-01-10T06:00", 9.0)
    kept = record.copy(deep=True)
    found = look(record)
    xr.testing.assert_identical(record, kept)
    assert gone(record, found, T) == [np.datetime64("2025-01-10T06:00")]
    rest = found.raw[T].notnull()
    assert (found.raw[T].where(rest, drop=True) == record[T].where(rest, drop=True)).all()
    assert found.raw.attrs == record.attrs


def test_origins_stay_as_they_are(raw, look):
    origin = np.full(raw.sizes["time"], 2, dtype=np.int8)
    record = planted(raw.assign(air_temperature_origin=("time", origin)), T, "2025-01-10T06:00", 9.0)
    found = look(record, now=np.datetime64("2026-02-18T10:30"))
    assert found.raw["air_temperature_origin"].equals(record["air_temperature_origin"])
    empty = record.where(record["time"] < np.datetime64("2026-02-18T10:30"))
    empty["air_temperature_origin"] = record["air_temperature_origin"]
    assert "future_rows" not in set(look(empty, now=np.datetime64("2026-02-18T10:30")).rows["check"])


def test_a_spike_of_an_hour(raw, look):
    record = planted(raw, T, "2025-01-10T06:00", -4.0)  # -14.4 and -14.6 stand beside it
    row = one(look(record), "spike")
    assert (row["what"], row["verdict"], row["value"], row["limit"]) == (T, "bad", -4.0, 8.0)
    assert row["time"] == pd.Timestamp("2025-01-10T06:00")
    assert row["words"].startswith(
        "Ostermoor yard (invented), 10 Jan 2025 00:00: air temperature -4.0 °C between"
    )
    assert row["words"].endswith("a spike of a single hour; left out; look at the sensor's cable and supply")
    dip = planted(raw, T, "2025-02-21T06:00", -9.0)
    assert one(look(dip), "dip")["value"] == -9.0


def test_a_spike_below_the_limit_and_a_front_are_none(raw, look):
    small = planted(raw, T, "2025-01-10T06:00", raw[T].sel(time="2025-01-10T06:00") + 7.5)
    assert "spike" not in set(look(small).rows["check"])
    front = planted(raw, T, "2025-02-24T02:00", [1.0, -5.5, -12.0, -12.5])
    assert "dip" not in set(look(front).rows["check"])


def test_spikes_and_steps_have_wider_limits_in_downslope_country(raw, look):
    record = planted(raw, T, "2025-01-10T06:00", -4.0)
    there = look(record, downslope=True)
    assert not set(there.rows["check"]) & {"spike", "step"}
    assert not gone(record, there, T)


def test_a_step_that_comes_back_takes_its_hours_with_it(raw, look):
    warm = turned(raw, T, "2025-01-10T06:00", "2025-01-10T10:00", lambda x: 0.3 * x + 1.0)
    row = one(look(warm), "step")
    assert (row["verdict"], row["limit"]) == ("bad", 10.0)
    assert gone(warm, look(warm), T) == [np.datetime64("2025-01-10T06:00") + k * HOUR for k in range(4)]
    assert "within an hour, 10.0 °C is the most to be believed; left out" in row["words"]


def test_a_step_of_8_is_suspect_and_one_that_stays_costs_an_hour(raw, look):
    seven = turned(raw, T, "2025-12-10T06:00", "2026-03-01T00:00", lambda x: x + 8.5)
    row = one(look(seven), "step")
    assert (row["verdict"], row["limit"]) == ("suspect", 7.0)
    assert not gone(seven, look(seven), T)
    twelve = turned(raw, T, "2025-12-10T06:00", "2026-03-01T00:00", lambda x: x - 12.0)
    assert gone(twelve, look(twelve), T) == [np.datetime64("2025-12-10T06:00")]


def test_a_flat_line_of_18_hours_is_bad_of_8_suspect_and_of_7_nothing(raw, look):
    for hours, verdict in ((18, "bad"), (17, "suspect"), (8, "suspect"), (7, None)):
        record = planted(raw, T, "2025-01-12T10:00", np.full(hours, -16.05))
        found = look(record)
        if verdict is None:
            assert "flat_line" not in set(found.rows["check"][found.rows["what"] == T])
            continue
        row = one(found, "flat_line")
        assert row["verdict"] == verdict
        assert len(gone(record, found, T)) == (18 if verdict == "bad" else 0)
    row = one(look(planted(raw, T, "2025-01-12T10:00", np.full(30, -16.05))), "flat_line")
    assert row["until"] - row["time"] == pd.Timedelta(hours=30)
    assert "air temperature -16.0 °C for 30 h without a change: a stuck sensor; left out" in row["words"]
    assert row["words"].endswith("look at the sensor and its cable")
    assert "12 Jan 2025 04:00 to 13 Jan 2025 10:00" in row["words"]


def test_hours_missing_inside_a_stuck_stretch_do_not_hide_it(raw, look):
    stuck = np.full(30, -16.05)
    stuck[[5, 6, 17]] = np.nan
    row = one(look(planted(raw, T, "2025-01-12T10:00", stuck)), "flat_line")
    assert (row["verdict"], row["until"] - row["time"]) == ("bad", pd.Timedelta(hours=30))


@pytest.mark.parametrize("value", [0.0, 0.2, -0.2])
def test_a_day_at_zero_is_melting_ice_not_a_stuck_sensor(raw, look, value):
    """Reference: Zahumensky (2004) exempts ground temperature within 0.2 of 0."""
    found = look(planted(raw, T, "2025-02-23T11:00", np.full(24, value)))
    assert "flat_line" not in set(found.rows["check"][found.rows["what"] == T])


def test_whole_degrees_may_stand_still_for_longer(raw, look):
    whole = raw.assign({T: raw[T].round()}).sel(time=slice(None, "2025-07-01"))
    found = look(planted(whole, T, "2025-01-12T10:00", np.full(20, -11.0)))
    assert "flat_line" not in set(found.rows["check"][found.rows["what"] == T])
    assert (
        one(look(planted(whole, T, "2025-01-12T10:00", np.full(50, -11.0))), "flat_line")["verdict"] == "bad"
    )


def test_a_frozen_anemometer(raw, look):
    calm = planted(raw, "wind_speed", "2025-01-12T10:00", np.zeros(80))
    row = one(look(calm), "dead_calm")
    assert (row["verdict"], row["value"]) == ("suspect", 0.0)
    assert "wind speed" not in row["words"] and "wind 0.0 m/s for 80 h without a change; kept" in row["words"]
    assert row["words"].endswith("look whether the anemometer is iced or broken")
    assert "dead_calm" not in set(
        look(planted(raw, "wind_speed", "2025-01-12T10:00", np.zeros(60))).rows["check"]
    )
    assert (
        one(look(planted(raw, "wind_speed", "2025-01-12T10:00", np.full(14, 3.1))), "dead_calm")["value"]
        == 3.1
    )


def test_a_day_written_twice(raw, look):
    day = raw[T].sel(time=slice("2025-01-12T00:00", "2025-01-12T23:00")).to_numpy()
    record = planted(raw, T, "2025-01-13T00:00", day)
    row = one(look(record), "repeated_day")
    assert (row["verdict"], row["value"]) == ("bad", 24.0)
    assert len(gone(record, look(record), T)) == 24
    assert "the 24 h before 12 Jan 2025 18:00 stand here again, hour by hour; left out" in row["words"]
    assert row["words"].endswith("export these days again and keep each hour once")


def test_impossible_values_name_the_unit_they_may_have(raw, look):
    found = look(
        planted(raw, "surface_pressure", "2025-01-12", 101.3) if "surface_pressure" in raw else _pressed(raw)
    )
    row = one(found, "outside_limits")
    assert (row["verdict"], row["what"], row["limit"]) == ("bad", "surface_pressure", 500.0)
    assert "101.3 hPa, possible is 500.0 hPa to 1100.0 hPa; it looks like kPa; left out" in row["words"]
    assert "check the unit of surface_pressure in the station file" in row["words"]
    lone = look(planted(raw, T, "2025-01-12T10:00", [264.0]))
    assert (
        "264.0 °C, possible is -60.0 °C to 50.0 °C; it looks like kelvin"
        in one(lone, "outside_limits")["words"]
    )


def _pressed(raw: xr.Dataset) -> xr.Dataset:
    waves = 970.0 + 8.0 * np.sin(np.arange(raw.sizes["time"]) / 30.0)
    record = raw.assign(surface_pressure=("time", waves))
    return planted(record, "surface_pressure", "2025-01-12T10:00", [101.3])


def test_a_dew_point_above_the_air(raw, look):
    small = turned(raw, "dew_point", "2025-01-12T10:00", "2025-01-12T13:00", lambda x: x * 0 - 17.0)
    row = one(look(small), "dew_point_above_air")
    assert (row["what"], row["verdict"], row["limit"]) == ("dew_point", "suspect", 0.3)
    large = turned(raw, "dew_point", "2025-01-12T10:00", "2025-01-12T13:00", lambda x: x * 0 - 15.0)
    row = one(look(large), "dew_point_above_air")
    assert row["verdict"] == "bad" and len(gone(large, look(large), "dew_point")) == 3
    assert "dew point -15.0 °C above the air's" in row["words"]
    assert row["words"].endswith("check the humidity sensor and that both columns have the same unit")
    within = raw.assign(dew_point=raw[T] + 0.3)
    assert "dew_point_above_air" not in set(look(within).rows["check"])


def test_snow_depth_that_jumps_and_comes_back_is_left_out(raw, look):
    record = turned(raw, "snow_depth", "2025-12-20T05:00", "2025-12-20T09:00", lambda x: x + 0.4)
    row = one(look(record), "depth_jump")
    assert (row["what"], row["verdict"], row["limit"]) == ("snow_depth", "bad", 0.15)
    assert len(gone(record, look(record), "snow_depth")) == 4
    assert (
        "within an hour without precipitation and back; left out; look under the snow sensor" in row["words"]
    )


def test_snow_depth_that_halves_and_stays_is_suspect(raw, look):
    high = raw.assign(snow_depth=raw["snow_depth"] + 0.3)
    record = turned(high, "snow_depth", "2025-12-20T05:00", "2026-03-01T00:00", lambda x: x * 0.45)
    row = one(look(record), "depth_jump")
    assert (row["verdict"], row["limit"]) == ("suspect", -0.5)
    assert not gone(record, look(record), "snow_depth")
    slow = turned(high, "snow_depth", "2025-12-20T05:00", "2026-03-01T00:00", lambda x: x * 0.55)
    assert "depth_jump" not in set(look(slow).rows["check"])


def test_a_rise_while_it_snows_is_snow(raw, look):
    record = turned(raw, "snow_depth", "2025-12-20T05:00", "2026-03-01T00:00", lambda x: x + 0.2)
    assert one(look(record), "depth_jump")["verdict"] == "suspect"
    snowing = planted(record, "precipitation", "2025-12-20T05:00", 9.0)
    assert "depth_jump" not in set(look(snowing).rows["check"])


def test_a_sensor_that_jumps_all_winter_is_told_once(raw, look):
    at = np.arange(raw.sizes["time"])
    winter = raw["time"].dt.month.isin([12, 1, 2]).to_numpy()
    record = raw.assign(snow_depth=("time", np.where((at % 40 < 10) & winter, 0.3, 0.0)))
    row = one(look(record), "depth_jump")
    assert row["verdict"] == "suspect" and not gone(record, look(record), "snow_depth")
    assert "do not trust this snow sensor before somebody has looked at it" in row["words"]


def test_new_snow_on_a_warm_day_is_left_out(raw, look):
    record = turned(raw, "snow_depth", "2025-07-10T10:00", "2025-07-10T22:00", lambda x: x + 0.05)
    row = one(look(record), "snow_in_warm_air")
    assert (row["what"], row["verdict"], row["limit"]) == ("snow_depth", "bad", 7.0)
    assert "look for grass or an object under the snow sensor" in row["words"]


def test_precipitation_in_deep_cold(raw, look):
    cold = turned(raw, T, "2025-01-10", "2025-01-16", lambda x: x - 22.0)
    cold = planted(cold, "precipitation", "2025-01-12T12:00", 0.4)
    row = one(look(cold), "precipitation_in_deep_cold")
    assert (row["what"], row["verdict"], row["value"], row["limit"]) == (
        "precipitation",
        "suspect",
        0.4,
        -35.0,
    )
    assert "0.4 mm of precipitation at -40.2 °C, too cold for it; kept" in row["words"]
    assert row["words"].endswith("look for drift or frost in the gauge")


def test_rain_at_minus_15(raw, look):
    wet = planted(raw, "precipitation", "2025-01-12T11:00", [2.4, 3.1])
    row = one(look(wet), "rain_in_hard_cold")
    assert (row["what"], row["verdict"], row["value"]) == ("precipitation", "unconfirmed", 3.1)
    assert "3.1 mm at -18.2 °C while the snow depth does not rise; kept, unconfirmed" in row["words"]
    assert row["words"].endswith(
        "read the gauge and look at the ground; until then this night is unconfirmed"
    )
    assert not gone(wet, look(wet), "precipitation")
    snowing = turned(wet, "snow_depth", "2025-01-12T12:00", "2026-03-01T00:00", lambda x: x + 0.03)
    assert "rain_in_hard_cold" not in set(look(snowing).rows["check"])
    called = planted(raw.assign(snow_fraction=raw[T] * 0 + 1.0), "snow_fraction", "2025-01-12T12:00", 0.0)
    called = planted(called, "precipitation", "2025-01-12T12:00", 0.3)
    assert "0.3 mm called rain at -18.2 °C" in one(look(called), "rain_in_hard_cold")["words"]


def test_rows_from_the_future(raw, look):
    record = raw.sel(time=slice(None, "2026-02-20T12:00"))
    found = look(record, now=np.datetime64("2026-02-18T10:30"))
    row = one(found, "future_rows")
    assert (row["what"], row["verdict"], row["value"]) == (ALL, "bad", 50.0)
    assert row["time"] == pd.Timestamp("2026-02-18T11:00")
    for name in record.data_vars:
        assert np.isnan(found.raw[name].to_numpy()[-50:]).all()
        assert np.isfinite(found.raw[name].to_numpy()[-51])
    assert "50 hours from the future; left out; check the logger's clock, station.utc_offset" in row["words"]
    assert not len(look(record, now=np.datetime64("2026-02-20T12:00")).rows.query("check == 'future_rows'"))


LONE = {
    "thaw": ("2024-11-21T06:00", T, 1.4, 1.0, "a single hour of thaw among frozen ones"),
    "freeze": ("2025-02-21T06:00", T, -4.2, -4.0, "a single hour of hard freeze after a thaw"),
    "rain": (
        "2025-01-12T06:00",
        "precipitation",
        5.0,
        4.0,
        "a single hour of heavy precipitation in the cold",
    ),
}


@pytest.mark.parametrize("kind", LONE)
def test_a_value_that_alone_switches_something_on_is_unconfirmed(raw, look, kind):
    time, name, value, limit, text = LONE[kind]
    around = slice(np.datetime64(time) - 4 * HOUR, np.datetime64(time) + 4 * HOUR)
    record = raw.copy(deep=True)
    if kind == "thaw":  # near enough to zero that it is no spike
        record[T].loc[{"time": around}] = [-4.5, -4.4, -4.3, -4.1, 0.0, -4.0, -4.3, -4.4, -4.5]
    if kind == "freeze":
        record[T].loc[{"time": around}] = [2.0, 1.8, 1.6, 1.7, 0.0, 1.5, 1.4, 1.2, 1.0]
    record = planted(record, name, time, value)
    row = one(look(record), "lone_value")
    assert (row["what"], row["verdict"], row["value"], row["limit"]) == (name, "unconfirmed", value, limit)
    assert f"{text}; kept, unconfirmed; look at the green, or compare a neighbouring station" in row["words"]
    assert not gone(record, look(record), name)
    second = record[[T, "precipitation"]].assign({T: record[T] + 3.0}).assign_attrs(record.attrs)
    assert "lone_value" not in set(look(record, second=second).rows["check"])
    off = second.assign({T: record[T] + 6.0, "precipitation": record["precipitation"] * 0.0})
    assert one(look(record, second=off), "lone_value")["verdict"] == "unconfirmed"


def test_two_hours_of_thaw_or_rain_or_moist_air_need_no_confirming(raw, look):
    record = raw.copy(deep=True)
    around = slice("2024-11-21T02:00", "2024-11-21T10:00")
    record[T].loc[{"time": around}] = [-4.5, -4.4, -4.0, -1.1, 1.2, 1.1, -2.3, -4.4, -4.5]
    assert "lone_value" not in set(look(record).rows["check"])
    moist = turned(raw, "dew_point", "2025-01-12T06:00", "2025-01-12T07:00", lambda x: x * 0 - 15.0)
    moist = planted(moist, "precipitation", "2025-01-12T06:00", 5.0)
    assert "lone_value" not in set(look(moist).rows["check"])


def test_later_checks_see_only_what_earlier_ones_left(raw, look):
    """A stuck week that ends with a leap: the leap is the stuck week's, not a step of its own."""
    record = planted(raw, T, "2025-01-12T10:00", np.full(60, -2.0))
    found = look(record).rows
    assert found["check"][found["what"] == T].tolist() == ["flat_line"]


def test_a_second_source_that_agrees_keeps_a_value(raw, look):
    record = planted(raw, T, "2025-01-10T06:00", -4.0)
    second = record[[T]].assign_attrs(record.attrs)
    found = look(record, second=second)
    row = one(found, "spike")
    assert row["verdict"] == "suspect" and not gone(record, found, T)
    assert "kept, for the second source agrees" in row["words"]
    other = raw[[T]].assign_attrs(raw.attrs)
    assert one(look(record, second=other), "spike")["verdict"] == "bad"


def test_words_in_the_units_of_a_us_reader(raw, look):
    words = one(look(planted(raw, T, "2025-01-10T06:00", -4.0), units="us"), "spike")["words"]
    assert "air temperature 25 °F between 7 °F and" in words
    words = one(
        look(planted(raw, "precipitation", "2025-01-12T11:00", [2.4, 3.1]), units="us"), "rain_in_hard_cold"
    )
    assert "0.12 in at -1 °F" in words["words"]


@pytest.mark.parametrize(("ramp", "verdict"), [(4.5, "suspect"), (5.5, "bad")])
def test_air_far_from_its_season_is_bad_only_where_it_leapt_there(ramp, verdict):
    """A thaw such as a record has not seen comes by steps; a fault leaps."""
    hours = invented_hours("2010-07-01", "2018-06-30T23:00")
    values = {T: hours["air_temperature"].to_numpy(copy=True), "precipitation": np.zeros(len(hours))}
    at = int(np.flatnonzero(hours.index == "2015-01-15T00:00")[0])
    up = np.arange(-30.0, 30.0, ramp)
    values[T][at : at + len(up)] = up
    values[T][at + len(up) : at + 2 * len(up)] = up[::-1]
    values[T][at + 2 * len(up) : at + 2 * len(up) + 6] = values[T][at + 2 * len(up) - 1]
    raw = record(hours.index, values, "hourly", Place(), "invented")
    row = one(checked(raw, now=NOW, place=Place()), "far_from_season")
    assert (row["what"], row["verdict"], row["limit"]) == (T, verdict, 6.0)
    assert row["words"].endswith(
        f"{'left out' if verdict == 'bad' else 'kept'}; compare it with a neighbouring station"
    )


@pytest.mark.parametrize(("after", "spiky"), [(-12.5, True), (-11.0, False)])
def test_a_spike_needs_neighbours_that_are_alike(raw, look, after, spiky):
    record = planted(raw, T, "2025-01-10T05:00", [-15.0, -4.0, after])
    assert ("spike" in set(look(record).rows["check"])) is spiky


def test_the_limits_of_downslope_country(raw, look):
    before = float(raw[T].sel(time="2025-01-10T05:00"))
    for size, check in ((17.0, "spike"), (15.0, "step")):
        found = look(planted(raw, T, "2025-01-10T06:00", before + size), downslope=True)
        assert found.rows["check"][found.rows["what"] == T].iloc[0] == check
    for size, verdict in ((21.0, "bad"), (19.0, "suspect")):
        record = turned(raw, T, "2025-12-10T06:00", "2026-03-01T00:00", lambda x, s=size: x + s)
        assert one(look(record, downslope=True), "step")["verdict"] == verdict


@pytest.mark.parametrize(("hours", "lost"), [(12, 12), (13, 1)])
def test_an_excursion_is_followed_for_12_hours(raw, look, hours, lost):
    cold = turned(raw, T, "2025-02-20T06:00", "2025-02-25T00:00", lambda x: x * 0.1 - 2.0)
    cold = planted(cold, T, "2025-02-21T06:00", -14.0 + 0.1 * (np.arange(hours) % 3))
    found = look(cold)
    first = found.rows[found.rows["check"] == "step"].iloc[0]
    assert first["until"] - first["time"] == pd.Timedelta(hours=lost)


def test_how_still_a_stuck_sensor_stands(raw, look):
    for width, flat in ((0.04, True), (0.08, False)):
        tooth = -16.05 + width * (np.arange(20) % 2)
        found = look(planted(raw, T, "2025-01-12T10:00", tooth)).rows
        assert ("flat_line" in set(found["check"][found["what"] == T])) is flat
    warm = look(planted(raw, T, "2025-02-23T11:00", np.full(24, 0.3)))
    assert one(warm, "flat_line")["verdict"] == "bad"
    wind = look(planted(raw, "wind_speed", "2025-01-12T10:00", np.full(9, 3.17)))
    assert "dead_calm" not in set(wind.rows["check"])


@pytest.mark.parametrize(("hours", "verdict"), [(23, "bad"), (25, "suspect")])
def test_a_snow_depth_is_followed_for_a_day(raw, look, hours, verdict):
    record = turned(
        raw,
        "snow_depth",
        "2025-12-20T05:00",
        str(np.datetime64("2025-12-20T05:00") + hours * HOUR),
        lambda x: x + 0.3,
    )
    rows = look(record).rows
    rows = rows[rows["check"] == "depth_jump"]
    assert rows["verdict"].iloc[0] == verdict
    assert rows["until"].iloc[0] - rows["time"].iloc[0] == pd.Timedelta(
        hours=hours if verdict == "bad" else 1
    )


@pytest.mark.parametrize(("blocks", "told_once"), [(7, False), (10, True)])
def test_how_many_jumps_make_a_sensor_untrue(raw, look, blocks, told_once):
    """Two jumps a block; the record is 1.4 years long, so 17 are the most."""
    record = raw.assign(precipitation=raw["precipitation"] * 0.0).copy(deep=True)
    winter = record["time"].dt.month.isin([12, 1, 2]).to_numpy()
    at = np.flatnonzero(winter)[100 :: winter.sum() // (blocks + 1)][:blocks]
    for first in at:
        record["snow_depth"].to_numpy()[first : first + 5] += 0.41
    rows = look(record).rows
    rows = rows[rows["check"] == "depth_jump"]
    assert (len(rows) == 1) is told_once
    assert set(rows["verdict"]) == ({"suspect"} if told_once else {"bad"})


def test_how_dry_a_rise_of_snow_must_be(raw, look):
    rise = turned(raw, "snow_depth", "2025-12-20T05:00", "2026-03-01T00:00", lambda x: x + 0.2)
    for water, told in ((0.08, True), (0.12, False)):
        found = look(planted(rise, "precipitation", "2025-12-20T06:00", water)).rows
        assert ("depth_jump" in set(found["check"])) is told


def test_water_at_minus_12_is_no_rain_at_minus_15(raw, look):
    wet = planted(raw, "precipitation", "2025-01-11T04:00", [2.4, 3.1])  # -12.9 and -13.5 degC
    assert "rain_in_hard_cold" not in set(look(wet).rows["check"])
    wet = planted(raw, "precipitation", "2025-01-12T11:00", 1.5)
    assert "rain_in_hard_cold" not in set(look(wet).rows["check"])


def test_what_is_near_a_lone_value_or_not_heavy_enough_needs_no_confirming(raw, look):
    """One step inside each limit: thaw of 0.9, a neighbour at 0.1, freeze of -3.9, 3.9 mm, 3 h away."""
    around = slice("2024-11-21T02:00", "2024-11-21T10:00")
    for beside, value in ((-4.0, 0.9), (0.1, 1.4)):
        record = raw.copy(deep=True)
        record[T].loc[{"time": around}] = [-4.5, -4.4, beside, -4.1, value, -4.0, -4.3, -4.4, -4.5]
        assert "lone_value" not in set(look(record).rows["check"])
    around = slice("2025-02-21T02:00", "2025-02-21T10:00")
    for beside, value in ((1.6, -3.9), (-1.1, -4.2)):
        record = raw.copy(deep=True)
        record[T].loc[{"time": around}] = [2.0, 1.8, beside, 1.7, value, 1.5, 1.4, 1.2, 1.0]
        assert "lone_value" not in set(look(record).rows["check"])
    for rain in ([3.9], [5.0, 0.0, 0.0, 0.2]):
        record = planted(raw, "precipitation", "2025-01-11T04:00", rain)
        assert "lone_value" not in set(look(record).rows["check"])
    record = planted(raw, "precipitation", "2025-01-11T04:00", [5.0, 0.0, 0.0, 0.0, 0.2])
    assert "lone_value" in set(look(record).rows["check"])
