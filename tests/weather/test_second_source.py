"""Second sources: what they fill, less their bias, and how sure that is."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_second_records import dataset, drift
from tests_weather_files import Place

from winterrisk.weather import complete, data_share, possible
from winterrisk.weather.bias import bias_of, kalman_bias, smooth_bias
from winterrisk.weather.blend import birge_ratio, blend_weights, blended
from winterrisk.weather.bridge import gap_spread
from winterrisk.weather.checks.rows import COLUMNS
from winterrisk.weather.second_source import water_ratio, with_second

PLACE = Place()
KEY = ("invented",)
ERROR = 1.5
"""Spread of the second station's error about its bias [K]."""


@pytest.fixture(scope="module")
def pair(hours: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame, np.ndarray]:
    """Two years of a first station and a second one: 2 K warmer, more so at night and in winter, with two thirds
    of the water, and its bias (time)."""
    first = hours.loc["2022-01-01":]
    hour, day = first.index.hour.to_numpy(), first.index.day_of_year.to_numpy()
    bias = 2.0 + 1.5 * np.cos(2 * np.pi * (hour - 8) / 24) + 0.8 * np.cos(2 * np.pi * day / 365.25)
    second = first.copy()
    second["air_temperature"] += bias + drift(len(first), ERROR, 0.97, 1)
    second["dew_point"] += 1.0
    second["precipitation"] *= 2.0 / 3.0
    second["wind_speed"] *= 1.6
    return first, second, bias


def with_holes(frame: pd.DataFrame, length: int, *columns: str) -> tuple[pd.DataFrame, np.ndarray]:
    """The table with gaps of a length in its last 7000 hours, and where they are (time)."""
    gone = np.zeros(len(frame), dtype=bool)
    for begin in range(len(frame) - 7000, len(frame) - 300, max(3 * length, 163)):
        gone[begin : begin + length] = True
    out = frame.copy()
    out.loc[gone, list(columns) or list(frame.columns)] = np.nan
    return out, gone


@pytest.fixture(scope="module")
def filled_days(pair):
    """Gaps of 48 h filled from the second station."""
    first, second, _ = pair
    gappy, gone = with_holes(first, 48)
    raw, told = with_second(dataset(gappy, station="yard"), [dataset(second, station="airport")], PLACE, KEY)
    return raw, told, gone


def test_nothing_changes_without_a_second_source_or_a_gap(pair):
    first, second, _ = pair
    raw = dataset(first)
    same, told = with_second(raw, [], PLACE, KEY)
    assert same.equals(raw)
    assert not len(told)
    full, told = with_second(raw, [dataset(second)], PLACE, KEY)
    assert not len(told)
    for name in raw.data_vars:
        assert full[name].equals(raw[name])


def test_measured_values_stay_and_filled_ones_are_marked(filled_days, pair):
    raw, _, gone = filled_days
    for name in ("air_temperature", "precipitation", "dew_point", "wind_speed"):
        assert raw[name].to_numpy()[~gone] == pytest.approx(pair[0][name].to_numpy()[~gone])
        assert (raw[f"{name}_origin"].to_numpy()[gone] == 1).all()
        assert (raw[f"{name}_origin"].to_numpy()[~gone] == 0).all()
    assert (raw["air_temperature_sd"].to_numpy()[gone] > 0).all()
    assert (raw["air_temperature_sd"].to_numpy()[~gone] == 0).all()
    assert np.isnan(raw["snow_depth"].to_numpy()[gone]).all()  # snow elsewhere says nothing here


def test_bias_is_taken_off_by_hour_and_season(filled_days, pair):
    raw, _, gone = filled_days
    first, second, bias = pair
    error = raw["air_temperature"].to_numpy()[gone] - first["air_temperature"].to_numpy()[gone]
    plain = second["air_temperature"].to_numpy()[gone] - first["air_temperature"].to_numpy()[gone]
    assert np.sqrt(np.mean(plain**2)) > 2.5
    assert np.sqrt(np.mean(error**2)) < ERROR  # ends and bias known: better than the station's own error
    assert abs(error.mean()) < 0.15
    hour = first.index.hour.to_numpy()[gone]
    by_hour = np.array([error[hour == h].mean() for h in range(24)])
    assert np.abs(by_hour).max() < 0.5  # of 3.0 K between its hours
    found = bias_of(first.index.to_numpy(), (second - first)["air_temperature"].to_numpy())
    assert np.sqrt(np.mean((found.value - bias)[2000:] ** 2)) < 0.8
    assert found.left == pytest.approx(ERROR, abs=0.35)


@pytest.mark.parametrize(("length", "origin"), [(1, 3), (3, 3), (6, 3), (24, 1), (96, 1), (240, 1)])
def test_the_bridge_stays_where_it_is_surer(pair, length, origin):
    """Switch where the bridge's spread passes the second source's (about 1.5 K here, 1.3 K mid-gap at 6 h)."""
    first, second, _ = pair
    gappy, gone = with_holes(first, length, "air_temperature")
    raw, _ = with_second(dataset(gappy), [dataset(second)], PLACE, KEY)
    weather = complete(raw, PLACE, KEY)
    assert (weather["air_temperature_origin"].to_numpy()[gone] == origin).all()
    error = weather["air_temperature"].to_numpy()[gone] - first["air_temperature"].to_numpy()[gone]
    rmse, told = (
        np.sqrt(np.mean(error**2)),
        np.sqrt(np.mean(weather["air_temperature_sd"].to_numpy()[gone] ** 2)),
    )
    assert rmse < min(np.sqrt(np.mean(gap_spread(length, 4.0) ** 2)) * 1.1, 1.6)
    assert told == pytest.approx(rmse, rel=0.2)


@pytest.mark.parametrize("length", [24, 48, 96])
def test_paths_carry_the_second_sources_spread(pair, length):
    first, second, _ = pair
    gappy, gone = with_holes(first, length, "air_temperature")
    raw, _ = with_second(dataset(gappy), [dataset(second)], PLACE, KEY)
    weather = complete(raw, PLACE, KEY)
    winter = weather.isel(time=slice(-7100, None))
    paths = possible(winter, past=weather, members=40, key="invented")["air_temperature"].to_numpy()
    here = gone[-7100:]
    low, high = np.quantile(paths[:7100][here], [0.05, 0.95], axis=1, method="weibull")
    truth = first["air_temperature"].to_numpy()[gone]
    assert 0.85 <= np.mean((truth >= low) & (truth <= high)) <= 0.95
    spread = paths[:7100].std(axis=1)
    assert spread[~here].max() < 1e-9
    assert spread[here].min() > 0.05
    again = possible(winter, past=weather, members=40, key="invented")["air_temperature"].to_numpy()
    assert np.array_equal(again, paths)
    steps = np.diff(paths[:7100] - paths[:7100].mean(axis=1, keepdims=True), axis=0)[here[1:]]
    assert steps.std() < 0.5  # noise with a memory: white noise of 1 K would jump 1.4 K an hour


def test_no_jump_at_the_ends_of_a_gap(filled_days, pair):
    raw, _, gone = filled_days
    t, truth = raw["air_temperature"].to_numpy(), pair[0]["air_temperature"].to_numpy()
    edges = np.flatnonzero(np.diff(gone.astype(int)))
    assert np.abs(np.diff(t)[edges]).mean() < 1.3 * np.abs(np.diff(truth)).mean()


def test_water_comes_scaled_and_its_phase_as_it_is(pair):
    first, second, _ = pair
    gappy, gone = with_holes(first, 48, "precipitation")
    flags = second.assign(snow_fraction=np.where(second["air_temperature"] < 1.0, 1.0, 0.0))
    raw, told = with_second(dataset(gappy), [dataset(flags, station="airport")], PLACE, KEY)
    rain = raw["precipitation"].to_numpy()
    assert rain[gone].sum() == pytest.approx(first["precipitation"].to_numpy()[gone].sum(), rel=0.02)
    assert ((rain[gone] > 0) == (first["precipitation"].to_numpy()[gone] > 0)).all()
    phase = raw["snow_fraction"].to_numpy()
    assert set(np.unique(phase[gone])) == {0.0, 1.0}
    assert np.isnan(phase[~gone]).all()
    assert told["words"].str.contains("times 1.50").all()
    assert data_share(complete(raw, PLACE, KEY))["precipitation"] == 1.0


def test_the_ratio_of_water_stays_within_a_half_and_two_and_needs_enough():
    wet = np.full(100, 1.0)
    assert water_ratio(wet, 10 * wet) == 0.5
    assert water_ratio(10 * wet, wet) == 2.0
    assert water_ratio(wet, wet / 1.2) == pytest.approx(1.2)
    assert water_ratio(wet[:10], wet[:10] / 1.2) == 1.0


def test_a_station_that_went_silent_is_carried_on_to_the_last_hour_of_the_other(pair):
    first, second, _ = pair
    silent = dataset(first.iloc[:-60], station="yard")
    raw, _ = with_second(silent, [dataset(second, station="airport")], PLACE, KEY)
    assert raw.sizes["time"] == len(first)
    t = raw["air_temperature"].to_numpy()[-60:]
    error = t - first["air_temperature"].to_numpy()[-60:]
    assert np.sqrt(np.mean(error**2)) < 2.5
    sd = raw["air_temperature_sd"].to_numpy()[-60:]
    assert sd[0] < sd[20] < sd[-1]
    assert complete(raw, PLACE, KEY)["air_temperature_sd"].to_numpy()[-60:] == pytest.approx(sd)


def test_hours_that_neither_knows_have_the_spread_of_both(pair):
    """Six hours missing in the middle of a filled day: bridged, less sure than a bridge between measured ends."""
    first, second, _ = pair
    gappy = first.copy()
    gappy.iloc[10000:10048, gappy.columns.get_loc("air_temperature")] = np.nan
    holed = second.copy()
    holed.iloc[10020:10026, holed.columns.get_loc("air_temperature")] = np.nan
    weather = complete(with_second(dataset(gappy), [dataset(holed)], PLACE, KEY)[0], PLACE, KEY)
    sd = weather["air_temperature_sd"].to_numpy()
    assert weather["air_temperature_origin"].to_numpy()[10019:10027].tolist() == [1, *[3] * 6, 1]
    ends = (sd[10019] + sd[10026]) / 2
    bridge = gap_spread(6, 4.0)
    assert sd[10020:10026] == pytest.approx(np.hypot(bridge, ends), rel=0.12)
    assert (sd[10020:10026] > 1.1 * bridge).all()


def test_two_sources_are_better_than_one_and_say_so(pair):
    first, second, _ = pair
    other = second.copy()
    other["air_temperature"] = first["air_temperature"] - 3.0 + drift(len(first), 1.2, 0.97, 2)
    gappy, gone = with_holes(first, 96, "air_temperature")
    one, _ = with_second(dataset(gappy), [dataset(second)], PLACE, KEY)
    two, told = with_second(
        dataset(gappy), [dataset(second, station="a"), dataset(other, station="b")], PLACE, KEY
    )
    truth = first["air_temperature"].to_numpy()[gone]
    errors = [np.sqrt(np.mean((r["air_temperature"].to_numpy()[gone] - truth) ** 2)) for r in (one, two)]
    spreads = [np.sqrt(np.mean(r["air_temperature_sd"].to_numpy()[gone] ** 2)) for r in (one, two)]
    assert errors[1] < 0.9 * errors[0]
    assert spreads[1] < 0.9 * spreads[0]
    assert told["words"].str.contains("comes from a and b").all()


def test_sources_that_disagree_widen_the_spread(pair):
    first, second, _ = pair
    wild = second.copy()
    wild["air_temperature"] = first["air_temperature"] + drift(len(first), 0.5, 0.97, 4)
    gappy, gone = with_holes(first, 96, "air_temperature")
    spread = {}
    for name, off in (("agree", 0.0), ("apart", 5.0)):
        wild_now = wild.copy()
        wild_now.loc[gone, "air_temperature"] += off
        raw, _ = with_second(dataset(gappy), [dataset(second), dataset(wild_now)], PLACE, KEY)
        spread[name] = float(raw["air_temperature_sd"].to_numpy()[gone].mean())
    assert spread["apart"] > 2.0 * spread["agree"]


def test_a_model_keeps_its_own_origin_and_guessed_hours_are_not_taken(pair):
    first, second, _ = pair
    gappy, gone = with_holes(first, 48, "air_temperature", "precipitation")
    model = dataset(second, station="analysis")
    codes = np.full(len(second), 2, dtype=np.int8)
    codes[-2000:] = 3
    model = model.assign(air_temperature_origin=("time", codes), precipitation_origin=("time", codes))
    raw, _ = with_second(dataset(gappy), [model], PLACE, KEY)
    for name in ("air_temperature", "precipitation"):
        origin = raw[f"{name}_origin"].to_numpy()
        late = np.arange(len(origin)) >= len(origin) - 2000
        assert (origin[gone & ~late] == 2).all()
        assert (origin[gone & late] == 3).all()
        assert np.isnan(raw[name].to_numpy()[gone & late]).all()


def test_a_source_far_above_is_expected_to_be_colder(pair):
    """Without a common hour: 500 m times 6.5 K/km; nothing else is known, so the spread is the prior's."""
    first, second, _ = pair
    silent = first.copy()
    silent["air_temperature"] = np.nan
    truth = first["air_temperature"].to_numpy()
    high = dataset(second.assign(air_temperature=truth - 3.25), elevation=PLACE.elevation + 500.0)
    raw, _ = with_second(dataset(silent), [high], PLACE, KEY)
    assert raw["air_temperature"].to_numpy() == pytest.approx(truth)
    assert raw["air_temperature_sd"].to_numpy().min() > 2.0


def _daily(frame: pd.DataFrame) -> xr.Dataset:
    local = frame.index.tz_localize("UTC").tz_convert(PLACE.timezone).tz_localize(None).normalize()
    grouped = frame.groupby(local)
    days = pd.DataFrame(
        {
            "air_temperature_max": grouped["air_temperature"].max(),
            "air_temperature_min": grouped["air_temperature"].min(),
            "precipitation": grouped["precipitation"].sum(),
        }
    ).iloc[1:-1]
    days.index.name = "time"
    return dataset(days, station="observer").assign_attrs(step="daily")


def test_a_daily_second_source_fills_and_a_daily_first_one_is_filled(pair):
    first, second, _ = pair
    gappy, gone = with_holes(first, 96, "air_temperature", "precipitation")
    raw, _ = with_second(dataset(gappy), [_daily(second)], PLACE, KEY)
    inside = gone & (np.arange(len(gone)) < len(gone) - 48)
    error = raw["air_temperature"].to_numpy()[inside] - first["air_temperature"].to_numpy()[inside]
    assert np.sqrt(np.mean(error**2)) < 2.4
    assert np.nansum(raw["precipitation"].to_numpy()[inside]) == pytest.approx(
        first["precipitation"].to_numpy()[inside].sum(), rel=0.35
    )
    days = _daily(first).copy(deep=True)
    days["air_temperature_max"][300:304] = np.nan
    days["air_temperature_min"][300:304] = np.nan
    hourly, _ = with_second(days, [dataset(second)], PLACE, KEY)
    assert hourly.attrs["station_step"] == "daily"
    taken = hourly["air_temperature_origin"].to_numpy() == 1
    assert taken[:-18].sum() == 96
    assert taken[-18:].all()  # and on to the last hour that the hourly source knows
    plain = complete(days, PLACE, KEY)
    both = complete(hourly, PLACE, KEY)
    known = slice(0, 290 * 24)
    for name in ("air_temperature", "precipitation"):
        assert both[name].to_numpy()[known] == pytest.approx(plain[name].to_numpy()[known], abs=0.6)
    assert (
        both["precipitation"].to_numpy()[known].tolist() == plain["precipitation"].to_numpy()[known].tolist()
    )


def test_rows_tell_what_was_filled(filled_days):
    _, told, gone = filled_days
    assert tuple(told.columns) == COLUMNS
    assert (told["verdict"] == "note").all()
    warmth = told[told["what"] == "air_temperature"]
    assert warmth["value"].sum() == gone.sum()
    assert (
        warmth["words"]
        .str.match(r"air temperature of 48 h from .* comes from airport; \d.* taken off, good to")
        .all()
    )
    assert set(told["what"]) >= {"air_temperature", "precipitation", "dew_point", "wind_speed"}


def test_wind_is_scaled_and_pressure_needs_common_hours(filled_days, pair):
    raw, _, gone = filled_days
    wind, truth = raw["wind_speed"].to_numpy()[gone], pair[0]["wind_speed"].to_numpy()[gone]
    assert wind.mean() == pytest.approx(truth.mean(), rel=0.02)
    first, second, _ = pair
    raw, _ = with_second(dataset(first), [dataset(second.assign(surface_pressure=960.0))], PLACE, KEY)
    assert "surface_pressure" not in raw


def test_bias_learns_forgets_and_is_never_less_sure_than_at_the_start():
    told = kalman_bias(np.concatenate([np.full(60, 3.0), np.full(400, np.nan)]))
    assert told.mean[59] == pytest.approx(3.0, abs=0.1)
    assert told.spread[59] < 0.9
    assert np.all(np.diff(told.spread[60:]) >= 0)
    assert told.spread.max() <= np.sqrt(4.09) + 1e-9


def test_smoothing_listens_to_both_sides():
    days = np.concatenate([np.zeros(40), np.full(20, np.nan), np.full(40, 4.0)])
    smooth = smooth_bias(days)
    assert smooth.mean[49:51].mean() == pytest.approx(2.0, abs=0.2)
    assert smooth.spread[50] < kalman_bias(days).spread[59]
    assert smooth.spread[50] > smooth.spread[20]
    turned = smooth_bias(days[::-1])
    assert smooth.mean[::-1][20:-20] == pytest.approx(turned.mean[20:-20], abs=0.1)


def test_weights_of_a_blend():
    """Independent errors are least squares; an estimate that only echoes another gets nothing."""
    assert blend_weights([1.0, 1.0]) == pytest.approx([0.5, 0.5])
    echo = [[1.0, 0.95], [0.95, 1.0]]
    assert blend_weights([1.0, 3.0], echo, clipped=False)[1] < 0.0
    assert blend_weights([1.0, 3.0], echo).tolist() == [1.0, 0.0]
    assert blended([0.0, 0.0], [1.5, 2.0])[1] == pytest.approx(1.20, abs=1e-9)
    # independent reference code: correlation 0.6 makes it 1.47
    assert blended([0.0, 0.0], [1.5, 2.0], [[1, 0.6], [0.6, 1]])[1] == pytest.approx(1.47, abs=0.005)


def test_estimates_further_apart_than_they_claim_widen_the_blend():
    assert birge_ratio([1.0], [0.1]) == 1.0
    assert birge_ratio([0.0, 0.1, -0.1], [1.0, 1.0, 1.0]) == 1.0
    # chi2 of (0, 0, 3) with sd 1 about 1: 1 + 1 + 4 = 6 on 2 degrees of freedom, by hand
    assert birge_ratio([0.0, 0.0, 3.0], [1.0, 1.0, 1.0]) == pytest.approx(np.sqrt(3.0))
