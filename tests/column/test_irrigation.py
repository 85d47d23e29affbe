"""Watered turf in a dry country: moist ground meets the frost, and roots dry only where frozen through."""

import numpy as np
import pytest
import xarray as xr
from winters import DRAINING, FLAT, zone_weather

from winterrisk import column
from winterrisk.column import layout as at

WATERED = {"irrigated": 1.0}


def dry_autumn_then_frost(lowest: float, half_range: float = 8.0) -> xr.Dataset:
    """From 1 August without a drop (invented): 122 dry days cooling from 22 to -2 degC, then six of frost."""
    hour = np.arange(24 * 128)
    day = hour / 24.0
    mean = np.where(day < 122.0, np.interp(day, [0.0, 122.0], [22.0, -2.0]), lowest + half_range)
    daily = np.cos((hour % 24 - 15.0) / 24.0 * 2.0 * np.pi)
    sun = np.maximum(0.0, np.sin((hour % 24 - 6.0) / 12.0 * np.pi)) * np.interp(day, [0, 128], [800.0, 400.0])
    return zone_weather(
        {
            "air": mean + half_range * daily, "humidity": 0.5, "rain": 0.0, "snow": 0.0,
            "sun": sun, "wind": 4.5, "sky": 0.72,
        },
        "2024-08-01",
    )  # fmt: skip


@pytest.mark.parametrize("ground", [FLAT, DRAINING], ids=["push-up", "sand"])
def test_watered_turf_meets_the_frost_moist_and_warmer(ground: dict) -> None:
    weather = dry_autumn_then_frost(-30.0)
    dry, moist = (
        column.run(weather, {**ground, **said}, output="days").isel(member=0) for said in ({}, WATERED)
    )
    last = {"day": slice(-6, None)}
    assert float(moist["crown_water"][last].mean()) > float(dry["crown_water"][last].mean()) + 0.1
    gain = float(moist["crown_temperature_min"][last].min() - dry["crown_temperature_min"][last].min())
    assert gain > 0.7


@pytest.mark.parametrize("lowest", [-20.0, -28.0, -36.0])
def test_the_crown_in_snowless_frost_follows_the_published_line(lowest: float) -> None:
    """CERES winterkill (Ritchie 1991): crown 2 + 0.805 T for a lowest air T without snow; tolerance judged."""
    days = column.run(dry_autumn_then_frost(lowest), {**FLAT, **WATERED}, output="days").isel(member=0)
    assert float(days["crown_temperature_min"][-4:].min()) == pytest.approx(2.0 + 0.805 * lowest, abs=3.0)


def test_both_budgets_close_while_water_is_given() -> None:
    days, state = column.run(
        dry_autumn_then_frost(-20.0), {**FLAT, **WATERED}, output="days", keep_state=True
    )
    assert np.abs(state.array[:, at.WATER_ERROR]).max() < 1e-6
    assert float(days["energy_balance_error"].max()) < 1e-3


def test_no_water_is_given_out_of_season() -> None:
    weather = dry_autumn_then_frost(-20.0)
    winter = weather.assign_coords(time=weather["time"] + np.timedelta64(92, "D"))
    ground = ([0.0, 3.0], [10.0, 10.0])
    plain, watered = (
        column.run(winter, {**FLAT, **said}, output="days", soil_start=ground) for said in ({}, WATERED)
    )
    assert plain.equals(watered)


def test_roots_dry_out_only_in_ground_frozen_through() -> None:
    """A sun-thawed top above a frozen root zone still waters the turf; the same days frozen hard do not."""

    def dried(warmest: float) -> tuple[float, float]:
        hour = np.arange(24 * 40)
        air = np.where(hour < 480, -12.0, (warmest - 8.0) + 8.0 * np.cos((hour % 24 - 15.0) / 24 * 2 * np.pi))
        sun = np.maximum(0.0, np.sin((hour % 24 - 6.0) / 12.0 * np.pi)) * 500.0 * (hour >= 480)
        values = {"air": air, "humidity": 0.4, "rain": 0.0, "snow": 0.0, "sun": sun, "wind": 6.0, "sky": 0.75}
        days = column.run(
            zone_weather(values, "2025-01-10"), FLAT, output="days", soil_start=([0.0, 3.0], [-2.0, 4.0])
        ).isel(member=0, day=slice(22, 34))
        return float(days["drying"].mean()), float(days["hours_thawed_over_frozen"].mean())

    hard, _ = dried(-4.0)
    mild, thawed = dried(14.0)
    assert thawed > 4.0
    assert hard > 0.15
    assert mild < 0.5 * hard
