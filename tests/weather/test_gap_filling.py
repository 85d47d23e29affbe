"""Gaps: what is put in, how sure it is, on invented series and on real hours left out."""

import numpy as np
import pytest
from tests_weather_files import Place

from winterrisk.weather import complete, possible, read_station
from winterrisk.weather.bridge import across, end_weights, gap_spread, open_end_spread, spread_across
from winterrisk.weather.gaps import filled, runs
from winterrisk.weather.other_winters import lending_shifts
from winterrisk.weather.usual import usual


def test_runs_of_true():
    assert runs(np.array([True, False, True, True, False, True])) == [(0, 1), (2, 2), (5, 1)]
    assert runs(np.zeros(3, dtype=bool)) == []


def test_a_bridge_is_surest_at_its_ends_and_no_surer_than_an_open_end():
    for length in (1, 6, 24, 96):
        bridge, opened = gap_spread(length), open_end_spread(length)
        assert np.all(bridge <= opened + 1e-12)
        assert bridge == pytest.approx(bridge[::-1])
        assert np.all(bridge <= 4.0)


def test_weights_of_the_ends_halve_where_the_table_says():
    """End weight in the middle: .466 at 24 h, .387 at 48 h, .217 at 96 h (independent reference code)."""
    for length, weight in ((24, 0.466), (48, 0.387), (96, 0.217)):
        before, after = end_weights(length, at=[(length + 1) / 2])
        assert before[0] == pytest.approx(weight, abs=1e-3)
        assert after[0] == pytest.approx(weight, abs=1e-3)


def test_across_a_short_gap_is_a_straight_line_and_a_long_one_forgets():
    assert across(3, 0.0, 4.0) == pytest.approx([1.0, 2.0, 3.0])
    long = across(400, 10.0, 10.0)
    assert abs(long[200]) < 0.1
    assert long[0] == pytest.approx(9.7, abs=0.01)
    assert across(5, np.nan, np.nan).tolist() == [0.0] * 5
    assert spread_across(5, np.nan, np.nan, 4.0).tolist() == [4.0] * 5


def test_series_with_scattered_gaps_keeps_what_is_known():
    rng = np.random.default_rng(3)
    series = np.cumsum(rng.standard_normal(5000)) * 0.1
    holes = rng.random(5000) < 0.3
    fill = filled(np.where(holes, np.nan, series), first_hour=0, key=("x",), spread=4.0)
    assert np.isfinite(fill.values).all()
    assert fill.values[~holes] == pytest.approx(series[~holes])
    assert (fill.spread[~holes] == 0).all()
    assert (fill.spread[holes] > 0).all()


def test_lent_weather_is_drawn_to_both_ends():
    """A spell 10 K too warm round the gap, other years at 0: fills start and end warm, forget between."""
    year = 24 * 365
    series = np.zeros(3 * year)
    first, length = 2 * year + 1000, 240
    series[first - 50 : first + length + 50] = 10.0
    series[first : first + length] = np.nan
    fill = filled(series, first_hour=0, key=("x",), spread=4.0)
    gap = fill.values[first : first + length]
    assert fill.lent[first : first + length].all()
    assert gap[[0, -1]] == pytest.approx(9.7, abs=0.05)  # 10 K times the hourly memory 0.97
    assert abs(gap[length // 2]) < 1.0
    plain = filled(series, first_hour=0, key=("x",), spread=4.0, joined=False)
    assert np.abs(plain.values[first : first + length]).max() == 0.0


def test_earlier_years_lend_first_each_once():
    known = np.ones(24 * 365 * 5, dtype=bool)
    first = 24 * 365 * 4
    known[first : first + 48] = False
    shifts = lending_shifts(known, first, 48, key=("x", 1), count=8)
    assert all(s < 0 for s in shifts)
    assert len({round(s / 24 / 365.2425) for s in shifts[:3]}) == 3
    moved = [abs(s / 24 / 365.2425 - round(s / 24 / 365.2425)) * 365 for s in shifts[4:]]
    assert all(2 <= m <= 11 for m in moved)


def test_later_years_lend_only_where_nothing_earlier_can():
    known = np.ones(24 * 365 * 3, dtype=bool)
    known[:96] = False
    assert lending_shifts(known, 0, 96, key=("x",))[0] == 24 * 365
    assert lending_shifts(np.zeros(100, dtype=bool), 10, 20, key=("x",)) == []


def test_usual_value_follows_season_and_hour():
    times = np.arange("2020-01-01", "2023-01-01", dtype="datetime64[h]").astype("datetime64[ns]")
    hours = np.arange(len(times))
    truth = 10 * np.cos(2 * np.pi * hours / (24 * 365.25)) + 3 * np.cos(2 * np.pi * hours / 24)
    table = usual(times, truth, 4.0)
    assert np.abs(table.at(times) - truth).max() < 0.6  # a 31-day mean flattens the yearly wave by 1 %
    assert table.spread < 0.3


SITES = {
    "alpine": (
        "cdp_2005_2006_hourly.csv",
        (45.30, 5.77, 1325.0, "Europe/Paris"),
        {"label": "end", "precipitation": "rainfall_mm"},
    ),
    "boreal": (
        "sodankyla_2017_2018_hourly.csv",
        (67.367, 26.629, 179.0, "Europe/Helsinki"),
        {"label": "centre", "precipitation": "precip_mm_day_spread_evenly"},
    ),
}


@pytest.mark.parametrize("site", SITES)
@pytest.mark.parametrize("length", [3, 6, 12, 48])
def test_real_hours_left_out_lie_in_the_range_as_often_as_said(field_data, site, length):
    """Errors no larger than an AR(1) bridge of anomalies with sd 7, and 5-95 % ranges of 20 paths that hold.

    Twenty paths can hold at most 86 of 100 truths between their 5 and 95 % values.
    """
    name, where, how = SITES[site]
    raw = read_station(
        field_data / name, time="time_utc", air_temperature="t_air_c", wind_speed="wind_ms", **how
    )
    truth = raw["air_temperature"].to_numpy().copy()
    left_out = np.zeros(len(truth), dtype=bool)
    for first in range(1000, len(truth) - 150, max(3 * length, 151)):
        left_out[first : first + length] = True
    raw["air_temperature"][left_out] = np.nan
    paths = possible(complete(raw, Place(*where), site), members=20, key=site)
    usual_fills = paths["air_temperature"].to_numpy()[left_out, :20]
    error = usual_fills.mean(axis=1) - truth[left_out]
    assert np.sqrt(np.mean(error**2)) < np.sqrt(np.mean(gap_spread(length, 7.0) ** 2))
    low, high = np.quantile(usual_fills, [0.05, 0.95], axis=1)
    inside = np.mean((truth[left_out] >= low) & (truth[left_out] <= high))
    assert 0.75 <= inside <= 0.98
