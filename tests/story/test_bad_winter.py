"""The invented winter 2024-25 told by six of its nights, the same nights far too warm, and a benign winter."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from winterrisk.backcast import backcast_nights, nights_of, read_work
from winterrisk.nightly import Night, Settings

ZONES = ("1 open", "2 low", "2 open", "2 ridge", "4 low", "4 open", "6 north", "7 low", "9 low")
SMALL = Settings(n_ground=4, n_paths=3, n_draws=60, zones=ZONES)
QUIET, FORMING, LONG, THAW, FREEZE, AFTER = (
    dt.date(2024, 12, 10),
    dt.date(2025, 1, 7),
    dt.date(2025, 2, 6),
    dt.date(2025, 2, 23),
    dt.date(2025, 2, 25),
    dt.date(2025, 2, 27),
)
SIX = [QUIET, FORMING, LONG, THAW, FREEZE, AFTER]


@pytest.fixture(scope="module")
def told(sample: Path) -> dict[dt.date, Night]:
    work = read_work(sample, SMALL)
    return dict(zip(SIX, backcast_nights(sample, work, SIX), strict=True))


def zone(night: Night, label: str) -> dict[str, float]:
    return next(z for z in night.record["data"]["zones"] if z["zone"] == label)


def called(night: Night, kind: str) -> set[str]:
    return {c["zone"] for c in night.record["calls"] if c["kind"] == kind}


def test_december_is_quiet(told: dict[dt.date, Night]) -> None:
    night = told[QUIET]
    assert night.record["calls"] == []
    assert "Nothing to do" in night.alert
    assert max(z["ice_chance"] for z in night.record["data"]["zones"]) == 0.0


def test_rain_on_snow_makes_ice_in_the_lows_and_a_look_is_called(told: dict[dt.date, Night]) -> None:
    night = told[FORMING]
    assert zone(night, "4 low")["ice_chance"] > 0.9 and zone(night, "4 low")["ice_mm"] > 5
    assert zone(night, "2 ridge")["ice_chance"] < zone(night, "4 low")["ice_chance"]
    assert called(night, "look") and not called(night, "pull")
    assert night.alert.startswith("LOOK by")


def test_days_under_ice_rise(told: dict[dt.date, Night]) -> None:
    days = [zone(told[day], "4 low")["days_under_ice"] for day in (FORMING, LONG)]
    assert days[0] <= 3 and 25 <= days[1] <= 35
    assert zone(told[LONG], "4 low")["dead_now"] > zone(told[FORMING], "4 low")["dead_now"] + 0.05


def test_the_thaw_takes_ice_and_soaks(told: dict[dt.date, Night]) -> None:
    before, after = zone(told[LONG], "4 low"), zone(told[THAW], "4 low")
    assert after["ice_mm"] < before["ice_mm"] - 5
    assert after["crown_min"] > -0.5 and after["crown_water"] > 0.9
    wet = told[THAW].winter_days["hours_wet"].sel(zone="4 low").mean("member").to_series()
    assert wet["2025-02-20":"2025-02-22"].sum() > 24 > wet["2025-02-01":"2025-02-15"].sum()


def test_the_hard_freeze_after_it_kills_soaked_lows_and_plugs_are_called(told: dict[dt.date, Night]) -> None:
    soaked = [zone(told[day], "4 low") for day in (THAW, FREEZE, AFTER)]
    assert soaked[0]["dead_now"] + 0.05 < soaked[1]["dead_now"] < soaked[2]["dead_now"]
    assert soaked[2]["dead_now"] > soaked[0]["dead_now"] + 0.2
    causes = soaked[2]["causes"]
    assert causes["wet_freeze"] + causes["mixed"] + causes["swings"] > 0.5
    waiting = {c["zone"]: c["held_because"] for c in told[FREEZE].record["held_back"] if c["kind"] == "pull"}
    if "4 low" not in called(told[FREEZE], "pull"):
        assert any(why in waiting["4 low"] for why in ("more may die by", "going out for plugs costs"))
    assert {"4 low", "2 low"} <= called(told[AFTER], "pull")
    assert "PULL PLUGS" in told[AFTER].alert
    for night in told.values():
        headline, _, body = night.alert.strip().partition("\n\n")
        assert len(headline) <= 160 and len(body) <= 600 and night.alert.isascii()


def test_fifteen_degrees_warmer_nothing_is_called(sample: Path) -> None:
    work = read_work(sample, SMALL)
    warm = work.weather.as_known()
    for name in ("air_temperature", "dew_point"):
        warm[name] = warm[name] + 15.0
    for night in backcast_nights(
        sample, replace(work, weather=work.weather.with_record(warm)), SIX[1::2], use_book=False
    ):
        assert night.record["calls"] == []
        assert max(z["ice_mm"] for z in night.record["data"]["zones"]) == 0.0


def test_a_benign_winter_has_no_pull(sample: Path) -> None:
    work = read_work(sample, SMALL)
    nights = list(backcast_nights(sample, work, nights_of("2021-22", 32)))
    assert len(nights) == 6
    assert all(called(night, "pull") == set() for night in nights)


@pytest.mark.slow
def test_no_night_of_the_benign_winter_has_a_pull(sample: Path) -> None:
    work = read_work(sample, Settings())
    for night in backcast_nights(sample, work, nights_of("2021-22", 1)):
        assert called(night, "pull") == set(), night.record["on"]
