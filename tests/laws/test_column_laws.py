"""Laws of the column: budgets close, nothing is negative, more snow and thicker covers only protect."""

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "column"))

from winters import COOL_GROUND, DRAINING, FLAT, event, random_winter, spells

from winterrisk import column
from winterrisk.column import layout as at
from winterrisk.thresholds import Thresholds


@settings(max_examples=16, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    mean=st.floats(-8.0, 8.0),
    wet=st.floats(0.01, 0.3),
    flat=st.booleans(),
    seen=st.booleans(),
)
def test_budgets_close_and_nothing_is_negative(
    seed: int, mean: float, wet: float, flat: bool, seen: bool
) -> None:
    draws = Thresholds.defaults().draw(40, ("laws", seed), acts="column")
    events = (
        pd.DataFrame(
            [event("2024-12-05 10:00", "ice_seen", 20.0), event("2025-01-10 10:00", "water_seen", 8.0)]
        )
        if seen
        else None
    )
    weather = random_winter(seed, mean=mean, wet=wet)
    days, state = column.run(
        weather, FLAT if flat else DRAINING, draws=draws, events=events, output="days", keep_state=True
    )
    hours = weather.sizes["time"]
    assert days["energy_balance_error"].max() < 1.0  # W m-2 in any hour
    assert np.abs(state.array[:, at.WATER_ERROR]).max() < 1e-6  # kg m-2 over the season
    assert np.abs(state.array[:, at.ENERGY_ERROR]).max() / 3600.0 / hours < 1e-3  # W m-2 season mean
    assert state.array[:, at.MASS : at.THICK].min() >= 0.0
    assert days["crown_temperature_min"].min() > -45.0
    assert days["crown_temperature_max"].max() < 50.0
    assert days["ice_thickness_max"].min() >= 0.0
    assert days["crown_water"].max() <= 1.0


def test_a_thousand_random_winters_close() -> None:
    draws = Thresholds.defaults().draw(100, "thousand", acts="column")
    for seed in range(10):
        days, state = column.run(
            random_winter(seed, mean=-6.0 + seed), FLAT, draws=draws, output="days", keep_state=True
        )
        assert np.abs(state.array[:, at.WATER_ERROR]).max() < 1e-6
        assert days["energy_balance_error"].max() < 1e-3
        assert state.array[:, at.MASS : at.THICK].min() >= 0.0


def _steady(**given: float):
    snow = {"air": -6.0, "snow": given.pop("snow", 0.0), "humidity": 0.9}
    return spells((24, snow), (24 * 20, {"air": -15.0, **given}))


def test_more_snow_in_steady_cold_never_makes_a_colder_crown() -> None:
    coldest = [
        float(column.run(_steady(snow=s), FLAT, soil_start=COOL_GROUND)["crown_temperature"][48:].min())
        for s in (0.0, 0.05, 0.2, 0.5, 1.0, 2.0, 4.0)
    ]
    assert np.all(np.diff(coldest) > 0.0), coldest


def test_colder_air_never_makes_a_warmer_crown() -> None:
    coldest = [
        float(
            column.run(spells((24 * 20, {"air": t})), FLAT, soil_start=COOL_GROUND)["crown_temperature"].min()
        )
        for t in (-2.0, -5.0, -10.0, -15.0, -25.0)
    ]
    assert np.all(np.diff(coldest) < 0.0), coldest


@pytest.mark.parametrize("name", ["leaf_resistance_mown"])
def test_a_thicker_cover_only_insulates_more(name: str) -> None:
    draws = {name: np.array([0.005, 0.01, 0.02, 0.04, 0.06])}
    crown = column.run(_steady(), FLAT, draws=draws, soil_start=COOL_GROUND)["crown_temperature"].values
    assert np.all(np.diff(crown[24:].min(axis=0)) > 0.0)


def test_snow_never_stays_above_melting() -> None:
    winter = column.run(random_winter(11), FLAT)
    lies = winter["snow_depth"].values > 0.01
    assert winter["surface_temperature"].values[lies].max() < 0.5


def test_a_hair_of_warmth_moves_no_day_far() -> None:
    weather = random_winter(12)
    draws = Thresholds.defaults().draw(40, "hair", acts="column")
    first = column.run(weather, FLAT, draws=draws, output="days")
    second = column.run(
        weather.assign(air_temperature=weather["air_temperature"] + 0.001), FLAT, draws=draws, output="days"
    )
    for name, least in {
        "crown_temperature_min": 0.1,
        "hours_sealed": 0.5,
        "hours_wet": 0.5,
        "swings": 0.02,
    }.items():
        gap = np.abs(first[name].mean("member") - second[name].mean("member"))
        assert float(gap.max()) < least, name
