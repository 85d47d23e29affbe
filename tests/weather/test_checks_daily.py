"""Checks of daily extremes: the reference example, and each fault on its own."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_real_records import planted, record
from tests_weather_files import Place

from winterrisk.weather.checks import Checked, checked, flagged_days

HIGH, LOW = "air_temperature_max", "air_temperature_min"
TN = [-8.0, -7.5, -9.1, -6.0, -33.5, -7.2, -5.9, -4.0, 0.0, -3.1, -2.2, -1.5, -1.9, -6.6, -12.0]
TX = [-1.2, 0.4, -2.0, 1.1, -0.8, 0.2, 35.1, 2.0, 0.0, -4.8, 3.0, 4.1, 2.2, -0.5, -5.0]
"""Fifteen days of the reference example (own rules after Durre et al. 2010)."""


def years(count: int = 8, seed: int = 3) -> xr.Dataset:
    """Invented daily extremes, precipitation and snow of an inland place, from 1 July 2010."""
    rng = np.random.default_rng(seed)
    days = pd.date_range("2010-07-01", periods=365 * count, freq="D")
    wave = np.cos(2 * np.pi * (days.day_of_year.to_numpy() - 201) / 365.25)
    noise = np.zeros(len(days))
    for i in range(1, len(days)):
        noise[i] = 0.7 * noise[i - 1] + 3.0 * rng.standard_normal()
    middle = 4.0 + 16.0 * wave + noise
    half = 3.0 + 3.0 * rng.random(len(days))
    wet = rng.random(len(days)) < 0.3
    values = {
        HIGH: (middle + half).round(1),
        LOW: (middle - half).round(1),
        "precipitation": np.where(wet, rng.gamma(0.8, 6.0, len(days)) + 0.2, 0.0).round(1),
    }
    return record(days, values, "daily", Place(), "invented days")


@pytest.fixture(scope="module")
def raw() -> xr.Dataset:
    return years()


@pytest.fixture(scope="module")
def two(raw: xr.Dataset) -> xr.Dataset:
    """Two years: too short for anything to be usual."""
    return raw.sel(time=slice("2012-07-01", "2014-06-30"))


def look(raw: xr.Dataset, **options) -> Checked:
    return checked(raw, now=options.pop("now", np.datetime64("2030-01-01")), place=Place(), **options)


def of(found: Checked, check: str) -> pd.DataFrame:
    return found.rows[found.rows["check"] == check]


def test_the_reference_example_gives_its_flags_and_nothing_else():
    days = pd.date_range("2024-01-01", periods=15)
    raw = record(days, {HIGH: np.array(TX), LOW: np.array(TN)}, "daily", Place(), "example")
    found = look(raw)
    flags = {(int(t.day), c, w) for t, c, w in found.rows[["time", "check", "what"]].itertuples(index=False)}
    assert flags == {
        (5, "dip", LOW),
        (7, "spike", HIGH),
        *((9, "zeros_for_missing", name) for name in (HIGH, LOW)),
        *((10, "highest_below_lowest", name) for name in (HIGH, LOW)),
    }
    assert set(found.rows["verdict"]) == {"bad"}
    left = [np.flatnonzero(~np.isfinite(found.raw[name])).tolist() for name in (HIGH, LOW)]
    assert left == [[6, 8, 9], [4, 8, 9]]
    assert flagged_days(TN, TX) == [5, 7, 9, 10]
    assert flagged_days(TN, TX, check=["spike", "dip"], what=LOW) == [5]


def test_clean_days_give_no_row(raw):
    found = look(raw)
    assert not len(found.rows)
    xr.testing.assert_identical(found.raw, raw)


def test_zeros_for_missing_are_told_in_both_scales(raw):
    both = planted(planted(raw, HIGH, "2012-12-05", 0.0), LOW, "2012-12-05", 0.0)
    row = of(look(both), "zeros_for_missing").iloc[0]
    assert row["words"] == (
        "invented days, 5 Dec 2012: highest and lowest are both 0.0 °C, as where zero is written for missing; "
        "left out; leave missing days empty in the station file"
    )
    fahrenheit = planted(planted(raw, HIGH, "2013-01-05", -160 / 9), LOW, "2013-01-05", -160 / 9)
    assert len(of(look(fahrenheit), "zeros_for_missing")) == 2
    assert "both 0 °F" in of(look(fahrenheit, units="us"), "zeros_for_missing")["words"].iloc[0]


def test_highest_below_lowest_names_both_and_leaves_rounding_alone(raw):
    at = "2013-04-05"
    low = float(raw[LOW].sel(time=at))
    found = look(planted(raw, HIGH, at, low - 1.5))
    words = of(found, "highest_below_lowest")["words"].iloc[0]
    assert f"is below lowest {low:.1f} °C; both left out; look for swapped columns or a typing error" in words
    assert not len(of(look(planted(raw, HIGH, at, low - 1.0)), "highest_below_lowest"))


@pytest.mark.parametrize(("size", "kind"), [(26.0, "spike"), (-26.0, "dip"), (24.0, None)])
def test_a_day_25_degrees_from_both_neighbours(two, size, kind):
    base = planted(two, HIGH, "2013-04-05", [9.0, 9.0, 9.0])
    base = planted(base, LOW, "2013-04-05", [-1.0, -1.0, -1.0])
    name = HIGH if size > 0 else LOW
    base = planted(base, name, "2013-04-06", float(base[name].sel(time="2013-04-06")) + size)
    found = look(base).rows
    found = found[found["check"].isin(["spike", "dip"])]
    assert found["check"].tolist() == ([kind] if kind else [])
    if kind:
        assert (
            f"a {kind} of a single day; left out; look at the sensor's cable and supply"
            in found["words"].iloc[0]
        )


def test_a_range_of_40_over_three_days(two):
    base = planted(two, HIGH, "2013-01-05", [-2.0, 20.0, 26.0, 20.0])
    base = planted(base, LOW, "2013-01-05", [-14.0, -14.0, -14.5, -14.0])
    row = of(look(base), "too_wide").iloc[0]
    assert (row["what"], row["verdict"], row["value"], row["limit"]) == (HIGH, "bad", 26.0, 40.0)
    assert "40.0 °C from the other extremes of these three days; left out" in row["words"]
    less = planted(base, HIGH, "2013-01-07", 25.9)
    assert not len(of(look(less), "too_wide"))


def test_streaks_of_the_same_highest(raw):
    for count, verdict in ((15, "bad"), (14, "suspect"), (10, "suspect"), (9, None)):
        found = of(look(planted(raw, HIGH, "2013-02-05", np.full(count, -4.4))), "streak")
        assert found["verdict"].tolist() == ([verdict] if verdict else [])
    row = of(look(planted(raw, HIGH, "2013-02-05", np.full(20, -4.4))), "streak").iloc[0]
    assert (
        "highest air temperature of the day -4.4 °C on 20 days in a row: a stuck sensor; left out"
        in row["words"]
    )
    assert "5 Feb 2013 to 24 Feb 2013" in row["words"]


def test_the_mean_in_both_columns_for_ten_days_of_a_month(raw):
    april = slice("2013-04-05", "2013-04-20")
    middle = ((raw[HIGH] + raw[LOW]) / 2).sel(time=april).to_numpy()
    for count, found in ((10, 20), (9, 0)):
        both = planted(planted(raw, HIGH, april.start, middle[:count]), LOW, april.start, middle[:count])
        assert len(of(look(both), "alike_all_month")) == found
    both = planted(planted(raw, HIGH, april.start, middle), LOW, april.start, middle)
    words = of(look(both), "alike_all_month")["words"].iloc[0]
    assert "on ten or more days of the month; left out" in words
    assert words.endswith("check that both columns are what they say, not the mean")


def test_a_value_six_spreads_from_the_season(raw):
    away = planted(planted(raw, HIGH, "2013-01-05", [31.0, 31.5]), LOW, "2013-01-05", [24.0, 23.0])
    found = of(look(away), "far_from_season")
    assert set(found["what"]) == {HIGH, LOW} and set(found["verdict"]) == {"bad"}
    assert (
        "times the usual spread away; left out; compare it with a neighbouring station"
        in found["words"].iloc[0]
    )
    short = away.sel(time=slice("2012-07-01", None)).isel(time=slice(0, 365 * 5))
    assert not len(of(look(short), "far_from_season"))  # 75 days of the season, 100 are needed


def test_days_in_degf_are_found_with_climatology_and_named(raw):
    slip = raw.copy(deep=True)
    for name in (HIGH, LOW):
        inside = slice("2013-01-10", "2013-01-25")
        slip[name].loc[{"time": inside}] = 1.8 * raw[name].sel(time=inside) + 32.0
    found = of(look(slip), "unit_slip")
    assert set(found["what"]) == {HIGH, LOW}
    # the first three days lie at -22 degC, which is -8 degF: no rule can tell them from -8 degC
    assert found["time"].unique().tolist() == [pd.Timestamp("2013-01-13")]
    assert found["until"].unique().tolist() == [pd.Timestamp("2013-01-26")]
    assert "looks like °F taken for °C" in found["words"].iloc[0]
    assert found["words"].iloc[0].endswith("(station.columns.air_temperature_max)")


def test_a_real_thaw_of_a_week_is_no_slip_and_not_bad(raw):
    """Shape of a published event: -18.9, then 16.1, then -6.7 degC within a week."""
    event = planted(raw, HIGH, "2013-01-10", [-9.0, -12.0, -1.0, 9.0, 16.1, 11.0, 2.0, -5.0])
    event = planted(event, LOW, "2013-01-10", [-16.0, -18.9, -11.0, -2.0, 4.0, 3.0, -4.0, -6.7])
    found = look(event)
    assert "bad" not in set(found.rows["verdict"])


def test_a_lone_warm_day_and_a_lone_hard_freeze_are_unconfirmed(raw):
    warm = planted(raw, HIGH, "2013-01-10", [-11.0, 6.0, -10.0])
    warm = planted(warm, LOW, "2013-01-10", [-19.0, -12.0, -18.0])
    row = of(look(warm), "lone_value").iloc[0]
    assert (row["what"], row["verdict"], row["value"]) == (HIGH, "unconfirmed", 6.0)
    assert "a single day of thaw among frozen ones; kept, unconfirmed" in row["words"]
    second = warm + 2.0
    second.attrs = warm.attrs
    assert not len(of(look(warm, second=second), "lone_value"))
    cold = planted(raw, HIGH, "2013-04-10", [11.0, 9.0, 10.0])
    cold = planted(cold, LOW, "2013-04-10", [2.0, -14.0, 1.0])
    assert of(look(cold), "lone_value")["value"].tolist() == [-14.0]


def test_snow_on_a_day_that_stayed_above_7(raw):
    depth = raw.assign(snow_depth=raw[HIGH] * 0.0)
    warm = planted(planted(depth, LOW, "2013-06-10", 8.0), "snow_depth", "2013-06-10", 0.04)
    row = of(look(warm), "snow_in_warm_air").iloc[0]
    assert "4 cm of new snow on a day that stayed above 8.0 °C; left out" in row["words"]
    cool = planted(warm, LOW, "2013-06-10", 6.9)
    assert not len(of(look(cool), "snow_in_warm_air"))


def test_a_day_that_has_not_begun(raw):
    """At 04:00 local the day is going on; the next one is not known yet."""
    found = look(raw.sel(time=slice(None, "2013-01-12")), now=np.datetime64("2013-01-11T10:00"))
    row = of(found, "future_rows").iloc[0]
    assert (row["value"], row["time"]) == (1.0, pd.Timestamp("2013-01-12"))
    assert "1 day from the future; left out" in row["words"]


def test_an_hourly_second_source_confirms_daily_extremes(two):
    spike = planted(two, HIGH, "2013-04-05", [9.0, 36.0, 9.0])
    spike = planted(spike, LOW, "2013-04-05", [-1.0, 2.0, -1.0])
    hours = pd.date_range("2013-04-01", "2013-04-10", freq="h")
    local = hours.tz_localize("UTC").tz_convert(Place().timezone)
    air = np.where((local.day == 6) & (local.hour == 14), 34.0, 2.0)
    second = record(hours, {"air_temperature": air}, "hourly", Place(), "airport")
    found = of(look(spike, second=second), "spike")
    assert found["verdict"].tolist() == ["suspect"]
    assert of(look(spike), "spike")["verdict"].tolist() == ["bad"]
