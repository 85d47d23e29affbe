"""The contract of the column: what goes in, what comes out, branching, refusals."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from winters import COOL_GROUND, DRAINING, FLAT, event, random_winter, spells

from winterrisk import column
from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.days import DAY_VARIABLES
from winterrisk.column.loop import run_columns
from winterrisk.thresholds.column_rows import COLUMN_ROWS
from winterrisk.thresholds.row import Row

SEEN = pd.DataFrame(
    [
        event("2024-12-10 10:30", "ice_from", 2.0, unit="d", known="2024-12-30 09:00"),
        event("2024-12-30 09:00", "ice_seen", 14.0, detail="clear"),
        event("2025-01-12 13:00", "snow_cleared", 2.0, unit="cm"),
        event("2025-02-01 08:00", "no_ice"),
    ]
)
DRAWS = {
    "storage": np.linspace(0.6, 1.6, 5),
    "snow_catch": np.linspace(0.8, 1.2, 5),
    "mat_conductivity": np.ones(5),
}


def test_parameter_slots_follow_the_table() -> None:
    assert len(par.NAMES) == par.LEAF
    for name, slot in {
        "snow_catch": par.SNOW_CATCH,
        "albedo_wet": par.ALBEDO_WET,
        "leaf_sun": par.LEAF_SUN,
        "ground_cooler": par.GROUND_COOLER,
        "mat_conductivity": par.MAT_CONDUCT,
        "storage": par.STORAGE_FACTOR,
        "crown_freezing": par.CROWN_FREEZING,
        "seal_thickness": par.SEAL,
        "store_soil": par.STORE_SOIL,
    }.items():
        assert par.NAMES[slot] == name
    assert all(row.acts == "column" and row.source for row in COLUMN_ROWS)


def test_days_have_every_variable_with_unit_and_name() -> None:
    days = column.run(random_winter(1), FLAT, draws=DRAWS, output="days")
    assert set(DAY_VARIABLES) <= set(days.data_vars)
    for name in DAY_VARIABLES:
        assert days[name].dims == ("day", "member")
        assert days[name].dtype == np.float32
        assert days[name].attrs["units"]
        assert days[name].attrs["long_name"]
        assert np.isfinite(days[name].values).all()
    assert days.sizes["member"] == 5


def test_hourly_winter_of_one_member_has_only_time_and_depth() -> None:
    winter = column.run(random_winter(1, days=30), FLAT)
    assert winter["crown_temperature"].dims == ("time",)
    assert winter["soil_temperature"].dims == ("time", "depth")
    assert all(winter[name].attrs.get("units") for name in winter.data_vars)


@pytest.mark.parametrize("stop", ["2024-12-15T13", "2025-01-12T13", "2025-01-20T00"])
def test_branching_from_a_state_equals_one_run(stop: str) -> None:
    weather = random_winter(3).assign_attrs(timezone="America/Toronto")
    whole, end = column.run(weather, FLAT, draws=DRAWS, events=SEEN, output="days", keep_state=True)
    at_stop = np.datetime64(stop)
    _, middle = column.run(
        weather, FLAT, draws=DRAWS, events=SEEN, output="days", until=at_stop, keep_state=True
    )
    later, end_again = column.run(
        weather, FLAT, draws=DRAWS, events=SEEN, output="days", start=middle, keep_state=True
    )
    assert middle.time == at_stop
    np.testing.assert_array_equal(end.array, end_again.array)
    for name in DAY_VARIABLES:
        np.testing.assert_array_equal(whole[name].sel(day=later["day"]).values, later[name].values)


def test_the_state_cannot_be_changed() -> None:
    _, state = column.run(spells((48, {})), FLAT, keep_state=True)
    with pytest.raises(ValueError, match="read-only"):
        state.array[0, 0] = 1.0


def test_weather_members_are_picked_by_path() -> None:
    paths = xr.concat([random_winter(4, 60), random_winter(5, 60)], dim="member")
    both = column.run(paths, FLAT, draws={"path": np.array([1, 0, 1])}, output="days")
    for member, seed in enumerate((5, 4, 5)):
        alone = column.run(random_winter(seed, 60), FLAT, output="days")
        np.testing.assert_array_equal(both["snow_depth_max"][:, member], alone["snow_depth_max"][:, 0])


def test_many_columns_on_several_cores_equal_one_by_one() -> None:
    draws = {"storage": np.linspace(0.5, 2.0, 60)}
    weather = random_winter(6, 90)
    many = column.run(weather, FLAT, draws=draws, output="days")
    one = column.run(weather, FLAT, draws={"storage": draws["storage"][41:42]}, output="days")
    np.testing.assert_array_equal(many["crown_temperature_min"][:, 41], one["crown_temperature_min"][:, 0])


def test_local_days_may_have_23_or_25_hours() -> None:
    weather = spells((24 * 60, {"air": 14.0}), start="2024-10-01").assign_attrs(timezone="America/Toronto")
    hours = column.run(weather, FLAT, output="days")["hours_thawed"].isel(member=0)
    assert float(hours.sel(day="2024-11-03")) == pytest.approx(25.0)
    assert float(hours.sel(day="2024-11-04")) == pytest.approx(24.0)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("air_temperature", np.nan),
        ("air_temperature", -90.0),
        ("shortwave_down", np.inf),
        ("precipitation", -1.0),
        ("longwave_down", 900.0),
        ("snow_fraction", 1.2),
    ],
)
def test_weather_that_cannot_be_is_refused_with_its_hour(name: str, value: float) -> None:
    weather = spells((48, {})).copy(deep=True)
    weather[name].values = np.where(np.arange(48) == 30, value, weather[name].values)
    with pytest.raises(column.ColumnError, match=rf"{name} at 2025-01-02 06:00"):
        column.run(weather, FLAT)


def test_hard_but_possible_hours_are_survived() -> None:
    weather = spells(
        (24 * 3, {"air": -30.0, "wind": 0.0}), (24, {"air": 3.0, "wind": 0.0, "sky": 1.0}), (48, {})
    )
    hour = np.arange(weather.sizes["time"])
    weather["longwave_down"].values = np.where(
        (hour >= 20) & (hour < 24), 400.0, weather["longwave_down"].values
    )
    weather["precipitation"].values = np.where(hour == 80, 500.0, weather["precipitation"].values)
    for ground in (FLAT, DRAINING):
        winter = column.run(weather, ground, soil_start=COOL_GROUND)
        assert np.isfinite(winter["crown_temperature"].values).all()
        assert winter["surface_temperature"].min() > -60.0
        assert winter["surface_temperature"].max() < 40.0
        assert float(np.abs(winter["energy_balance_error"]).max()) < 1.0


def test_a_gap_in_the_hours_is_refused() -> None:
    weather = spells((48, {})).drop_isel(time=[20])
    with pytest.raises(column.ColumnError, match="hours missing"):
        column.run(weather, FLAT)


def test_data_share_counts_measured_hours() -> None:
    weather = spells((48, {}))
    origin = np.zeros(48)
    origin[24:36] = 3
    weather["air_temperature_origin"] = ("time", origin)
    weather["precipitation_origin"] = ("time", np.zeros(48))
    share = column.run(weather, FLAT, output="days")["data_share"].isel(member=0).values
    np.testing.assert_allclose(share, [1.0, 0.75])


def test_swings_count_thaw_then_freeze_once() -> None:
    cycle = [(36, {"air": 9.0, "sky": 0.95, "wind": 6.0}), (60, {"air": -12.0, "sky": 0.75})]
    days = column.run(
        spells((24 * 4, {"air": -8.0}), *(cycle * 3)), DRAINING, output="days", soil_start=COOL_GROUND
    )
    assert float(days["swings"].sum()) == pytest.approx(3.0, abs=0.05)
    assert float(days["cooling_at_freeze"].max()) > 0.1


def _plain(tmp_path: Path, program: str) -> Any:
    """What a program run without the compiler saves to the file it is given."""
    here = Path(__file__).resolve().parent
    head = (
        "import sys, numpy as np; sys.path.insert(0, sys.argv[1])\n"
        "from winters import *; from test_column_run import *\n"
        "from winterrisk.science.compiled import COMPILED\n"
        "assert not COMPILED\n"
    )
    out = tmp_path / "plain.npz"
    subprocess.run(
        [sys.executable, "-c", head + program, str(here), str(out)],
        check=True,
        env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
    )
    return np.load(out)


def seen_winter(seed: int, days: int) -> tuple[dict[str, Any], np.ndarray]:
    """Days and end state of two members from 30 November on, with what people saw."""
    two = {k: v[:2] for k, v in DRAWS.items()}
    weather = random_winter(seed, 90 + days).isel(time=slice(24 * 90, None))
    ground = FLAT if seed % 2 else DRAINING
    found, state = column.run(
        weather, ground, draws=two, events=SEEN, output="days", keep_state=True, soil_start=COOL_GROUND
    )
    return {name: found[name].values for name in DAY_VARIABLES}, state.array


def _same(seeds: list[int], length: int, tmp_path: Path) -> None:
    plain = _plain(
        tmp_path,
        f"found = {{}}\nfor seed in {seeds}:\n"
        f"    days, state = seen_winter(seed, {length})\n"
        "    found |= {f'{name} {seed}': v for name, v in days.items()} | {f'state {seed}': state}\n"
        "np.savez(sys.argv[2], **found)\n",
    )
    for seed in seeds:
        days, state = seen_winter(seed, length)
        other = plain[f"state {seed}"]
        temperature = slice(at.SIX, at.SIX + 5)
        np.testing.assert_allclose(state[:, temperature], other[:, temperature], atol=1e-6)
        np.testing.assert_allclose(state[:, at.MASS : at.THICK], other[:, at.MASS : at.THICK], atol=1e-6)
        for name, values in days.items():
            if name.endswith("_error"):
                continue
            # daily values are kept as float32: 1e-6 degC holds up to that rounding
            np.testing.assert_allclose(values, plain[f"{name} {seed}"], rtol=1e-6, atol=1e-5, err_msg=name)
        for name in ("sealed_by", "treated"):
            np.testing.assert_array_equal(days[name], plain[f"{name} {seed}"], err_msg=name)


@pytest.mark.parametrize("row", COLUMN_ROWS, ids=lambda row: row.key)
def test_a_parameter_by_which_nothing_can_be_worked_is_refused(row: Row) -> None:
    """Compiled, a division by zero raises nothing, and a clamp would make of it turf that is not sealed."""
    weather = spells((3, {"snow": 1.0}))
    for wrong in (np.nan, np.inf, *([0.0, -1.0] if row.low > 0.0 else [])):
        with pytest.raises(ValueError, match=f"{row.key}: found .*, expected numbers"):
            column.run(weather, FLAT, draws={row.key: np.array([row.value, wrong])}, output="days")


@pytest.mark.parametrize("output", ["days", "hourly"])
def test_a_column_that_went_wrong_for_a_while_is_not_told(
    output: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the end the state is whole again; the hour and the day that went wrong are not."""

    def spoilt(*arguments: Any) -> None:
        run_columns(*arguments)
        days, hours = arguments[-2:]
        (hours if output == "hourly" else days)[0, 1, 2] = np.nan

    weather = spells((72, {"air": -6.0}))
    assert np.isfinite(column.run(weather, FLAT, output=output)["observed_water"]).all()
    monkeypatch.setattr(sys.modules["winterrisk.column.run"], "run_columns", spoilt)
    with pytest.raises(FloatingPointError, match="the winter column"):
        column.run(weather, FLAT, output=output)


def test_plain_python_gives_the_same_numbers(tmp_path: Path) -> None:
    _same([7, 8], 60, tmp_path)


@pytest.mark.slow
def test_plain_python_gives_the_same_twenty_winters(tmp_path: Path) -> None:
    _same(list(range(20)), 150, tmp_path)


def test_branching_from_a_state_equals_one_run_in_plain_python(tmp_path: Path) -> None:
    plain = _plain(
        tmp_path,
        "two = {k: v[:2] for k, v in DRAWS.items()}\n"
        "w = random_winter(3, 150).isel(time=slice(24 * 120, None))\n"
        "how = dict(draws=two, events=SEEN, output='days', keep_state=True)\n"
        "whole, end = column.run(w, FLAT, soil_start=COOL_GROUND, **how)\n"
        "_, middle = column.run(w, FLAT, soil_start=COOL_GROUND, until=w.time.values[13 * 24 + 7], **how)\n"
        "later, again = column.run(w, FLAT, start=middle, **how)\n"
        "name = 'crown_temperature_min'\n"
        "np.savez(sys.argv[2], end=end.array, again=again.array,\n"
        "         whole=whole[name].sel(day=later.day), later=later[name])\n",
    )
    np.testing.assert_array_equal(plain["end"], plain["again"])
    np.testing.assert_array_equal(plain["whole"], plain["later"])


def test_wind_takes_the_snow_of_a_zone_once() -> None:
    weather = spells((24, {"snow": 1.0, "wind": 2.0}), (240, {"air": -6.0, "wind": 11.0, "humidity": 0.95}))

    def left(**ground: float) -> float:
        return float(column.run(weather, DRAINING | ground)["snow_water"][-1])

    stays, exposed = left(), left(exposure=1.0)
    bare, bare_exposed = left(snow_gain=0.5), left(snow_gain=0.5, exposure=1.0)
    assert exposed < 0.8 * stays
    assert bare_exposed == pytest.approx(bare)
    assert left(snow_gain=1.3, exposure=1.0) > exposed


def test_an_unshielded_gauge_has_missed_snow_and_no_rain() -> None:
    snowy = spells((24, {"snow": 1.0, "air": -6.0, "humidity": 0.95}))
    rainy = spells((24, {"rain": 1.0, "air": 6.0}))

    def water(weather: xr.Dataset, **attrs: str) -> float:
        _, state = column.run(weather.assign_attrs(**attrs), DRAINING, keep_state=True)
        return float(state.array[0, at.MASS : at.THICK].sum())

    start = water(snowy.isel(time=slice(0, 1)))
    caught = (water(snowy) - start) / (water(snowy, gauge="unshielded") - start)
    # 0.66 m/s at the orifice, -6 degC: exp(-0.0785 x 0.66 (1 - atan(0.729 x -6) + 0.407)) (Kochendorfer 2017)
    assert caught == pytest.approx(0.867, abs=0.01)
    assert water(rainy, gauge="unshielded") == water(rainy)
