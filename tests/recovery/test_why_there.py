"""One thing changed: the signs that physics asks for, and what the table of changes says of the sample."""

import datetime as dt
from functools import cache

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from sample_winters import course, days_of, no_events, winter
from sun_alone import hours_of_ice_that_lies, iced_days, last_iced, winter_days

from winterrisk import hazards, risk
from winterrisk.course import Course, day_start
from winterrisk.microclimate import zone_ground
from winterrisk.recovery.changes import (
    SIGHTINGS,
    cleared,
    covered,
    not_banked,
    standing_changes,
    without_sightings,
)
from winterrisk.recovery.why_there import UNEXPLAINED, why_there
from winterrisk.thresholds import Thresholds

SHADED = ("1 low", "3 shade", "7 shade")
WINTERS = ("2020-21", "2021-22", "2022-23", "2023-24", "2024-25")


def change(zone: str, name: str):
    return next((c for c in standing_changes(course(), zone) if c.name == name), None)


@pytest.mark.parametrize("name", ["2022-23", "2023-24"])
def test_ice_that_lies_in_spring_goes_no_later_in_more_sun(name: str) -> None:
    """Same ice, same ground, and from 1 or 8 March on more sun: ground by ground, to the hour."""
    year = int(name[:4]) + 1
    lasted = {"sun": 0, "felled": 0}
    for zone in SHADED:
        hours = hours_of_ice_that_lies(*winter(name), course(), zone, [f"{year}-03-01", f"{year}-03-08"])
        for how in lasted:
            assert (hours[how] <= hours["shaded"]).all(), (zone, how)
            lasted[how] += int((hours["shaded"] - hours[how]).sum())
    assert lasted["sun"] > lasted["felled"] > 0


@cache
def spring_ice(name: str, zone: str, how: str) -> tuple[np.ndarray, np.ndarray]:
    """Days under ice after 1 March, and days to the last of them (ground), of a winter lit in one of these ways."""
    days = winter_days(*winter(name), course(), zone, how)
    year = int(name[:4]) + 1
    return iced_days(days, year), last_iced(days, year)


@pytest.mark.parametrize("name", WINTERS)
def test_more_sun_never_lengthens_ice_in_spring(name: str) -> None:
    """The whole winter with more sun and nothing else: days under ice in the mean of grounds; where ice lies, the day
    it leaves, ground by ground."""
    for zone in SHADED:
        (before, last), (after, last_sunny) = (spring_ice(name, zone, how) for how in ("shaded", "sun"))
        assert after.mean() <= before.mean(), (zone, before, after)
        assert (last_sunny <= last)[last >= 0].all(), zone


def test_trees_out_of_the_way_take_back_some_of_it_but_keep_no_ice() -> None:
    """What hid the sky was warm. Days under ice after 1 March rise in two of fifteen zone-winters, by half a day."""
    days: dict[str, list[float]] = {}
    for name in WINTERS:
        for zone in SHADED:
            for how in ("shaded", "sun", "felled"):
                days.setdefault(how, []).append(float(spring_ice(name, zone, how)[0].mean()))
            last, last_felled = (spring_ice(name, zone, how)[1] for how in ("shaded", "felled"))
            assert (last_felled <= last)[last >= 0].all(), (name, zone)
    assert sum(days["sun"]) < sum(days["felled"]) < sum(days["shaded"])
    rises = np.subtract(days["felled"], days["shaded"])
    assert (rises > 1e-6).sum() <= 2 and rises.max() <= 0.5


def test_more_sun_shortens_spring_ice_on_the_whole() -> None:
    earlier: list[int] = []
    for name in WINTERS:
        for zone in SHADED:
            last, last_felled = (spring_ice(name, zone, how)[1] for how in ("shaded", "felled"))
            earlier += list((last - last_felled)[last >= 0])
    assert len(earlier) >= 50 and np.mean(earlier) > 0.5, earlier


def grounds_that_differ(course_of: Course) -> dict[str, tuple[str, ...]]:
    """Zones that hold water, one for each kind of ground and light."""
    kinds: dict[tuple[object, ...], list[str]] = {}
    for view in course_of.zones():
        if change(view.label, "drainage"):
            own = zone_ground(course_of).sel(zone=view.label)
            kind = (*(str(value.item()) for value in own.data_vars.values()), tuple(view.horizon))
            kinds.setdefault(kind, []).append(view.label)
    return {zones[0]: tuple(zones) for zones in kinds.values()}


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=() if name >= "2024" else pytest.mark.slow) for name in WINTERS]
)
def test_better_surface_drainage_never_raises_wet_hours(name: str) -> None:
    """Of every kind of zone that holds water, in the mean of 24 grounds; on one ground a blocked pore or a freeze
    more or less may count for a day."""
    zones = grounds_that_differ(course())
    assert sum(len(alike) for alike in zones.values()) >= 15
    for zone in zones:
        before, after = (
            days_of(name, there, zone, grounds=24)["hours_wet"].sum("day").to_numpy()
            for there in (course(), change(zone, "drainage").course)
        )
        assert after.mean() <= before.mean(), zone
        assert (after > before + 1.0).mean() <= 0.1, zone


def test_clearing_exposes_the_crowns_to_the_cold_that_follows() -> None:
    zone, day = "4 low", dt.date(2023, 2, 1)
    bare = cleared(course(), zone, day).events(no_events())
    covered_days, cleared_days = (
        days_of("2022-23", course(), zone, events=e).sel(day=slice("2023-02-02", "2023-02-20"))
        for e in (None, bare)
    )
    assert (cleared_days["days_under_ice"].max("day") < covered_days["days_under_ice"].max("day")).all()
    colder = (cleared_days["crown_temperature_min"] - covered_days["crown_temperature_min"]).min("day")
    assert (colder < -1.0).all()


def test_less_annual_bluegrass_lowers_the_dead_share_and_leaves_the_ice_alone() -> None:
    zone = "4 low"
    _, several = winter("2024-25")
    draws = Thresholds.defaults().draw(50, ("why", "2024-25"), "chance")
    days = days_of("2024-25", course(), zone).expand_dims(zone=[zone])
    shares = []
    for there in (course(), change(zone, "bluegrass").course):
        harm = hazards.run(days, there.turf().sel(zone=[zone]), several.traits)
        outlook = risk.outlook(harm, days, there, draws, days=[days["day"].to_numpy()[-1]])
        shares.append(outlook["expected"].to_numpy())

    assert np.mean(shares[1] <= shares[0] + 1e-6) > 0.98 and shares[1].mean() < 0.6 * shares[0].mean()


def test_a_change_is_offered_only_where_there_is_room_for_it() -> None:
    offered = {zone: {c.name for c in standing_changes(course(), zone)} for zone in course().zone_labels()}
    assert offered["5 open"] == {"drainage"} and offered["9 ridge"] == {"bluegrass"}
    assert "sun" in offered["3 shade"] and "sun" not in offered["4 open"]
    assert not_banked(course(), no_events()) is None


def test_sightings_are_left_out_from_the_day_a_change_begins_and_work_stays() -> None:
    times = pd.to_datetime(["2025-01-05", "2025-01-20", "2025-02-10"])
    rows = pd.DataFrame({"time": times, "kind": ["ice_seen", "snow_cleared", "ice_seen"]})
    kept = without_sightings(rows, np.datetime64("2025-02-01"))
    assert list(kept["kind"]) == ["ice_seen", "snow_cleared"]
    assert list(without_sightings(rows, None)["kind"]) == ["snow_cleared"]
    assert "snow_cleared" not in SIGHTINGS and "cover_on" not in SIGHTINGS


def test_the_table_ranks_what_would_have_helped_and_says_what_it_cannot_explain() -> None:
    paths, several = winter("2024-25")
    draws = Thresholds.defaults().draw(50, ("why", "2024-25"), "chance")
    equal = np.full((1, several.count, 50), 1.0 / (several.count * 50))

    weight = xr.DataArray(equal, dims=("zone", "member", "draw"), coords={"zone": ["4 low"]})
    times = pd.to_datetime(["2024-09-10", "2024-09-12", "2025-01-10"])
    iced = pd.DataFrame(
        {"time": times, "until": pd.NaT, "zone": "4 low", "kind": "ice_seen", "value": 40.0, "unit": "mm", "share": 1.0,
         "who": "", "known": times, "detail": ""}
    )  # fmt: skip
    told = []
    for events, note in ((no_events(), ""), (iced, UNEXPLAINED)):
        rows = why_there(
            course(), paths, {"4 low": events}, several, weight, draws, zones=("4 low",), on=dt.date(2025, 3, 14),
            clear_on=dt.date(2025, 1, 20),
        )  # fmt: skip
        middles = [row["chance"]["middle"] for row in rows]
        assert middles == sorted(middles) and middles[0] < -0.2
        assert {row["change"] for row in rows} == {"drainage", "bluegrass", "cleared", "cover"}
        for row in rows:
            for effect in (row["chance"], row["ice_days"], row["dead"]):
                assert effect["low"] <= effect["middle"] <= effect["high"]
        by_name = {row["change"]: row for row in rows}
        told.append(
            [by_name[name][what] for name in ("drainage", "bluegrass") for what in ("chance", "ice_days")]
        )
        assert by_name["drainage"]["note"] == note and by_name["bluegrass"]["ice_days"]["high"] == 0.0
        assert by_name["cleared"]["ice_days"]["middle"] < 0.0
    assert told[0] == told[1], "what was seen in the winter that was must not come into the other one"


def test_a_cover_keeps_crowns_warmer_in_snowless_frost() -> None:
    zone = "9 ridge"
    laid = covered(course(), zone, dt.date(2024, 12, 1))
    assert laid.begins == day_start(dt.date(2024, 12, 1), course().timezone) + np.timedelta64(12, "h")
    open_days, covered_days = (
        days_of("2024-25", course(), zone, events=e).sel(day=slice("2024-12-05", "2025-02-15"))
        for e in (None, laid.events(no_events()))
    )
    assert (
        covered_days["crown_temperature_min"].min("day") > open_days["crown_temperature_min"].min("day")
    ).all()
