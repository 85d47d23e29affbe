"""Freeze-thaw counts against a general climate library, and dew point against a general weather library."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk.science.air import dew_point_from_humidity
from winterrisk.weather import freeze_thaw as ft

TX = np.array(
    [3.1, 0.0, -1.2, 2.4, 5.0, 0.3, -0.1, -4.0, -6.5, -2.2, 0.1, 4.2, 6.8, 7.1]
    + [1.0, 0.5, 0.0, -3.3, -8.0, -9.1, -7.4, -0.4, 1.9, 2.2, 0.6, -1.0, 3.3, 5.5]
)
TN = np.array(
    [-2.0, -5.1, -7.7, -3.0, 0.0, -0.2, -6.0, -11.3, -14.8, -9.0, -3.5, 0.1, 1.2, 0.0]
    + [-1.8, -2.6, -4.4, -9.9, -17.2, -20.5, -15.0, -6.1, -2.3, 0.4, -0.7, -5.5, -0.0, 1.1]
)
"""The 28 days of the reference example."""


def series(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """A winter of invented extremes in tenths, with zeros in it."""
    rng = np.random.default_rng(seed)
    high = rng.normal(0.5, 4.0, 181).round(1)
    low = (high - np.abs(rng.normal(5.0, 3.0, 181))).round(1)
    high[::17], low[::23] = 0.0, 0.0
    return np.maximum(high, low), low


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(("thaws", "freezes"), [(">", "<="), (">", "<"), (">=", "<="), (">=", "<")])
def test_counts_are_those_of_xclim(seed, thaws, freezes):
    xclim = pytest.importorskip("xclim", reason="xclim is the reference")
    high, low = series(seed) if seed else (TX, TN)
    days = pd.date_range("2023-11-01", periods=len(high))
    tasmax, tasmin = (
        xr.DataArray(v, coords={"time": days}, attrs={"units": "degC"}, dims="time") for v in (high, low)
    )
    swings = {"op_tasmin": freezes, "op_tasmax": thaws, "freq": "100YS"}
    cycles = xclim.indices.multiday_temperature_swing(
        tasmin, tasmax, thresh_tasmin="0 degC", thresh_tasmax="0 degC", window=1, op="sum", **swings
    )
    ours = ft.freeze_thaw_days(high, low, zero_freezes=freezes == "<=", zero_thaws=thaws == ">=")
    assert ours == int(cycles.sum())
    if (thaws, freezes) != (">", "<="):
        return
    for window in (1, 3):
        spells = xclim.indices.multiday_temperature_swing(
            tasmin,
            tasmax,
            thresh_tasmin="0 degC",
            thresh_tasmax="0 degC",
            window=window,
            op="count",
            **swings,
        )
        assert ft.freeze_thaw_spells(high, low, window) == int(spells.sum())
    longest = xclim.indices.multiday_temperature_swing(
        tasmin, tasmax, thresh_tasmin="0 degC", thresh_tasmax="0 degC", window=1, op="max", **swings
    )
    assert ft.longest_freeze_thaw_spell(high, low) == int(longest.max())
    assert ft.ice_days(high) == int(xclim.indices.ice_days(tasmax, freq="100YS").sum())
    assert ft.frost_days(low) == int(xclim.indices.frost_days(tasmin, freq="100YS").sum())
    run = xclim.indices.cold_spell_max_length(tasmin, thresh="0 degC", window=1, freq="100YS", op="<")
    assert ft.longest_frost_run(low) == int(run.max())
    mean = ((tasmax + tasmin) / 2).assign_attrs(units="degC")
    cold = xclim.indices.heating_degree_days(mean, thresh="0 degC", freq="100YS")
    assert ft.freezing_degree_days(high, low) == pytest.approx(float(cold.sum()), abs=1e-9)
    warm = xclim.indices.growing_degree_days(mean, thresh="0 degC", freq="100YS")
    assert ft.thawing_degree_days(high, low) == pytest.approx(float(warm.sum()), abs=1e-9)


def test_the_convention_at_zero_changes_the_counts():
    """Reference example: 11, 8, 13 and 10 days for (>,<=), (>,<), (>=,<=), (>=,<); ice 11 or 13, frost 21 or 24."""
    four = [(False, True), (False, False), (True, True), (True, False)]
    counts = [ft.freeze_thaw_days(TX, TN, zero_thaws=t, zero_freezes=f) for t, f in four]
    assert counts == [11, 8, 13, 10]
    assert (ft.ice_days(TX), ft.ice_days(TX, zero_counts=True)) == (11, 13)
    assert (ft.frost_days(TN), ft.frost_days(TN, zero_counts=True)) == (21, 24)


def test_hysteresis_ignores_wobbling_about_zero():
    """Reference example: 5 events with +1 and -1, 12 with both thresholds at zero."""
    assert ft.daily_turns_to_frost(TX, TN) == 5
    assert ft.daily_turns_to_frost(TX, TN, thaw=0.0, freeze=0.0) == 12
    wobble = np.tile([0.4, -0.4], 50)
    assert ft.turns_to_frost(wobble) == ft.turns_to_thaw(wobble) == 0
    assert ft.turns_to_frost([2.0, 0.0, -0.9, -1.0, -5.0, 0.9, 1.0, -1.0]) == 2
    assert ft.turns_to_thaw([2.0, 0.0, -0.9, -1.0, -5.0, 0.9, 1.0, -1.0]) == 1


def test_the_air_freezing_index_is_no_sum_of_frost():
    """By hand: +2, -6, +3, -4 has its highest point 2 and its lowest after it -5."""
    mean = np.array([2.0, -6.0, 3.0, -4.0])
    assert ft.air_freezing_index(mean, mean) == 7.0
    assert ft.freezing_degree_days(mean, mean) == 10.0
    assert ft.air_freezing_index([-1.0, -2.0], [-1.0, -2.0]) == 3.0
    assert ft.air_freezing_index([5.0], [1.0]) == 0.0


def test_missing_days_are_no_freeze_thaw_days_and_no_degrees():
    high, low = np.array([1.0, np.nan, 1.0]), np.array([-1.0, -1.0, np.nan])
    assert ft.freeze_thaw_days(high, low) == 1
    assert ft.freezing_degree_days(high, low) == ft.thawing_degree_days(high, low) == 0.0
    assert ft.mean_freeze_thaw_spell([5.0], [4.0]) == 0.0 == ft.longest_frost_run([4.0])


def test_halves_are_rounded_up_and_zero_has_no_sign():
    """Reference: NWS notices on WMO practice; Python gives -2, 2, 0 and -0.0."""
    assert ft.wmo_rounded([-2.5, 2.5, -0.5, 0.5]).tolist() == [-2.0, 3.0, 0.0, 1.0]
    assert ft.wmo_rounded([0.15, 0.25, -0.25], 1).tolist() == [0.2, 0.3, -0.2]
    for value in (-0.04, -0.5, -0.0):
        assert f"{float(ft.wmo_rounded(value, 0 if value == -0.5 else 1)):.1f}" == "0.0"


def test_whole_fahrenheit_is_coarse_at_zero():
    """31, 32 and 33 degF are -0.6, 0.0 and +0.6 degC: no other value lies within half a degree of zero."""
    celsius = ft.wmo_rounded((np.array([31.0, 32.0, 33.0]) - 32.0) / 1.8, 1)
    assert celsius.tolist() == [-0.6, 0.0, 0.6]


def test_dew_point_is_that_of_metpy():
    """Bolton's and our Magnus form differ by up to 0.1 K in deep cold."""
    metpy = pytest.importorskip("metpy.calc", reason="metpy is the reference")
    from metpy.units import units

    temperature = np.array([-25.0, -10.0, -2.0, 0.0, 3.0, 15.0, 30.0])
    for humidity in (0.35, 0.7, 0.95, 1.0):
        ours = dew_point_from_humidity(temperature, humidity)
        theirs = (
            metpy.dewpoint_from_relative_humidity(temperature * units.degC, humidity).to("degC").magnitude
        )
        assert ours == pytest.approx(theirs, abs=0.1)
        assert np.max(np.abs(ours - temperature)) > 0.2 or humidity > 0.98
