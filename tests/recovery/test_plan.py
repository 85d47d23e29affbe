"""The plan: hole locations by the rules, amounts, order dates, who proposes what, and work."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
import xarray as xr
from sample_winters import course

from winterrisk.course.sections import Reopening, Repair
from winterrisk.recovery import ZoneDamage, hole_locations, recovery_plan
from winterrisk.recovery.crew import workdays_needed
from winterrisk.recovery.soil_ahead import SUMMER_DAYS, with_summer
from winterrisk.thresholds import Thresholds

ON = dt.date(2025, 3, 14)
ROWS = Thresholds.defaults().values
FIRST = np.datetime64("2024-08-01", "D")
DAYS = FIRST + np.arange(333)


def soil(warmer: float = 0.0) -> xr.DataArray:
    """A spring that warms by 0.2 K a day from 1 April, in three versions half a week apart."""
    day = (DAYS - np.datetime64("2025-04-01", "D")).astype(float)
    one = np.clip(0.2 * day[:, None] + np.array([-1.0, 0.0, 1.0]) + warmer, -1.0, 18.0)
    zones = list(course().zone_labels())
    values = np.repeat(one[:, None, :], len(zones), axis=1)
    return xr.DataArray(
        values, dims=("day", "zone", "member"), coords={"day": DAYS.astype("datetime64[ns]"), "zone": zones}
    )


def damage(
    zone: str, low: float, high: float, source: str = "survey", chance: float = 0.5, so_far: float = 0.2
) -> ZoneDamage:
    view = course().zone(zone)
    middle = 0.5 * (low + high)
    return ZoneDamage(
        zone, view.area, view.kind, view.size, low, middle, high, source, ON, chance, chance, chance, so_far,
    )  # type: ignore[arg-type]  # fmt: skip


def plan(*damages: ZoneDamage, there=None, warmer: float = 0.0):
    return recovery_plan(there or course(), damages, soil(warmer), np.ones(3), ON, ROWS, springs=3)


def test_a_sound_green_has_hole_locations_to_spare_and_loses_them_with_its_turf() -> None:
    rules = Reopening()
    counts = [hole_locations(600.0, 600.0 * share, rules) for share in (0.0, 0.15, 0.3, 0.45, 0.7, 1.0)]
    assert counts[0] >= rules.hole_locations and counts == sorted(counts, reverse=True) and counts[-1] == 0


def test_hole_locations_by_hand() -> None:
    """A green of 20 m by 20 m, holes 3 m off the edge and 5 m apart: 14 m hold 3 in a row, so 3 rows. A strip of 5 m
    closed with 7.6 m to keep leaves 15 - 3 - 7.6 = 4.4 m: one row."""
    rules = Reopening()
    assert hole_locations(400.0, 0.0, rules) == 9
    assert hole_locations(400.0, 100.0, rules) == 3
    assert hole_locations(400.0, 100.0, Reopening(distance=2.0)) == 9


def test_amounts_are_the_dead_area_times_the_rate() -> None:
    """7.3 g of bent seed a square metre (1.5 lb per 1,000 ft2); sod a tenth over."""
    (zone,) = plan(damage("4 low", 0.7, 0.9)).zones
    size = course().zone("4 low").size
    assert zone.option("seed").amount == pytest.approx([size * s * 7.3 for s in (0.7, 0.8, 0.9)])
    assert zone.option("sod").amount[1] == pytest.approx(size * 0.8 * 1.1)
    assert pytest.approx(ROWS["seed_rate.creeping_bent"], abs=0.05) == 1.5 * 453.6 / 92.9
    assert "plugs" not in {o.means for o in zone.options}


def test_spots_may_be_plugged_and_never_sodded() -> None:
    (zone,) = plan(damage("4 dam", 0.02, 0.08)).zones
    plugs = zone.option("plugs")
    assert plugs.amount[1] == np.ceil(course().zone("4 dam").size * 0.05 / ROWS["cutter_area"])
    assert zone.proposed != "sod"


def test_survivors_fill_in_from_the_day_of_the_survey() -> None:
    """Forty days later half of it is done, and nothing is told as of a day that is over."""
    later = ON + dt.timedelta(days=100)
    fresh, old, older = (
        waited_of(replace(damage("4 low", 0.1, 0.2), day=later - dt.timedelta(days=days)), later)
        for days in (0, 40, 90)
    )
    assert (old < fresh).all() and (older <= old).all()
    assert (older >= (later - FIRST.astype(dt.date)).days).all()


def waited_of(one: ZoneDamage, on: dt.date) -> np.ndarray:
    (zone,) = recovery_plan(course(), [one], soil(), np.ones(3), on, ROWS, springs=3).zones
    return np.asarray(zone.option("wait").dates.play)


def test_what_cannot_be_had_is_not_offered() -> None:
    there = course().model_copy(update={"repair": Repair(without=("sod", "seed"), seed="velvet_bent")})
    (zone,) = plan(damage("4 low", 0.7, 0.9), there=there).zones
    assert {o.means for o in zone.options} == {"wait"}


def test_the_grass_sown_is_the_one_named() -> None:
    there = course().model_copy(update={"repair": Repair(seed="perennial_ryegrass")})
    (zone,) = plan(damage("4 low", 0.7, 0.9), there=there).zones
    rye, bent = zone.option("seed"), plan(damage("4 low", 0.7, 0.9)).zones[0].option("seed")
    assert (rye.grass, bent.grass) == ("perennial_ryegrass", "creeping_bent")
    assert (np.abs(rye.dates.up - bent.dates.up) <= 3).all(), (
        "up within 2 to 3 days (HortTechnology 31, 42, 2021)"
    )
    assert (rye.dates.play < bent.dates.play).all()


def test_order_dates_are_the_calendars_until_they_have_passed() -> None:
    """The sample orders seed by 1 March and sod by 20 March; on 14 March seed is ordered now."""
    (zone,) = plan(damage("4 low", 0.7, 0.9)).zones
    assert zone.option("sod").order_by == dt.date(2025, 3, 20)
    assert zone.option("seed").order_by == ON


def test_a_warm_spring_moves_every_day_forward_and_the_order_with_it() -> None:
    cold, warm = (plan(damage("4 low", 0.7, 0.9), warmer=w) for w in (0.0, 4.0))
    for means in ("wait", "seed", "sod"):
        before, after = (p.zones[0].days[means]["play"].p50 for p in (cold, warm))
        assert after < before
    assert warm.areas[0].whole.p50 <= cold.areas[0].whole.p50


def test_days_of_springs_are_in_order() -> None:
    for zone in plan(damage("4 low", 0.7, 0.9), damage("3 shade", 0.1, 0.2)).zones:
        for days in zone.days.values():
            told = days["play"]
            assert told.p10 <= told.p50 <= told.p90


def test_a_cover_brings_seed_up_earlier() -> None:
    (zone,) = plan(damage("4 low", 0.7, 0.9)).zones
    plain, covered = zone.option("seed"), zone.option("seed under a cover")
    assert (covered.dates.up < plain.dates.up).all()
    assert (covered.dates.cover_off - covered.dates.work <= ROWS["cover_days"]).all()
    assert (covered.dates.cover_on <= covered.dates.work).all()


def test_no_cover_is_laid_on_soil_that_is_warm_already() -> None:
    (zone,) = plan(damage("4 low", 0.7, 0.9), warmer=16.0).zones
    assert "seed" in {o.means for o in zone.options}
    assert "seed under a cover" not in {o.means for o in zone.options}


def test_a_green_with_little_closed_opens_with_the_course() -> None:
    areas = {a.area: a for a in plan(damage("4 low", 0.7, 0.9), damage("8 edge", 0.3, 0.5)).areas}
    opening = course().calendar.on("opening", "2024-25")
    assert areas["8"].whole.p90 == opening and areas["8"].closed == ("8 edge",)
    assert areas["4"].few.p50 <= areas["4"].whole.p50


def test_tighter_rules_open_no_earlier() -> None:
    worse = course().model_copy(update={"reopening": Reopening(hole_locations=12, distance=10.0, cover=1.0)})
    hurt = (damage("4 low", 0.7, 0.9), damage("4 dam", 0.7, 0.9))
    assert plan(*hurt, there=worse).areas[0].whole.p50 >= plan(*hurt).areas[0].whole.p50


def test_unlikely_damage_is_looked_at_before_anything_is_ordered() -> None:
    told = plan(damage("1 open", 0.0, 0.4, "outlook", 0.2), damage("4 low", 0.0, 0.4, "outlook", 0.6))
    assert [z.damage.zone for z in told.zones] == ["4 low"] and [d.zone for d in told.unsure] == ["1 open"]


def test_before_harm_has_begun_nothing_is_planned_whatever_spring_may_bring() -> None:
    told = plan(damage("4 low", 0.0, 0.9, "outlook", 0.6, so_far=0.01))
    assert told.zones == () and told.unsure == ()


def test_work_is_shared_over_the_crew() -> None:
    assert workdays_needed(course(), 0.0) == 0
    assert workdays_needed(course(), 14.0) == 1 and workdays_needed(course(), 14.1) == 2


def test_summer_goes_on_as_june_ended() -> None:
    longer = with_summer(soil())
    assert longer.sizes["day"] == len(DAYS) + SUMMER_DAYS
    assert np.allclose(longer.isel(day=-1), soil().isel(day=slice(-10, None)).mean("day"))
