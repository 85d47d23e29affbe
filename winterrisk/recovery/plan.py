"""The recovery of a course: for each hurt zone its options, for each area the day it may reopen."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course import Course, winter_of
from winterrisk.recovery.crew import workdays_needed
from winterrisk.recovery.damage import ZoneDamage
from winterrisk.recovery.options import Option, options
from winterrisk.recovery.order_or_wait import OrderOrWait, order_or_wait
from winterrisk.recovery.reopening import hole_locations
from winterrisk.recovery.soil_ahead import with_summer
from winterrisk.recovery.spread_of_days import DayRange, day_range, weighted_days
from winterrisk.risk.spread import BAND_LIMITS
from winterrisk.sampling import Stakes

Array = NDArray[np.float64]
_, SPOTS, PARTS, _ = BAND_LIMITS
"""Dead shares from which a zone counts as hurt, and from which sod is thought of [1]: the bands."""
WORTH = 14.0
"""Days that a dearer way must gain over a cheaper one to be proposed [d] (judged: two weeks of play)."""
CHEAPEST_FIRST = ("wait", "seed", "seed under a cover", "plugs", "sod")


@dataclass(frozen=True)
class ZonePlan:
    """A hurt zone: its damage, every option with its days, the one that is proposed, and order or wait.

    days: means -> range of days of work, up and play, and of cover_on and cover_off where a cover is used.
    """

    damage: ZoneDamage
    options: tuple[Option, ...]
    proposed: str
    days: Mapping[str, Mapping[str, DayRange]]
    cost: OrderOrWait

    @property
    def decided(self) -> bool:
        """Whether enough is known to act: a survey, or ordering now is cheaper than waiting for plugs."""
        return self.damage.source == "survey" or self.cost.best == "order"

    def option(self, means: str) -> Option:
        """The option of that name."""
        return next(o for o in self.options if o.means == means)


@dataclass(frozen=True)
class AreaPlan:
    """A hurt area: hole locations now, days on which it opens on some days (few) and wholly, zones
    closed, and those of them that plugs may still clear."""

    area: str
    kind: str
    size: float
    closed: tuple[str, ...]
    unproved: tuple[str, ...]
    locations: int
    few: DayRange
    whole: DayRange


@dataclass(frozen=True)
class Plan:
    """Recovery on a date: hurt zones worst first, areas, work of the proposed options, springs behind the days.

    unsure: zones that may be hurt, but not likely enough to order for: look, or cut plugs, first. hours: low,
    middle, high, of the zones decided; workdays: days of the crew for the middle. last_day: days after it are not told.
    """

    on: dt.date
    zones: tuple[ZonePlan, ...]
    unsure: tuple[ZoneDamage, ...]
    areas: tuple[AreaPlan, ...]
    hours: tuple[float, float, float]
    workdays: int
    springs: int
    last_day: dt.date


def recovery_plan(
    course: Course,
    damages: Sequence[ZoneDamage],
    soil: xr.DataArray,
    weight: Array,
    on: dt.date,
    rows: Mapping[str, Array | float],
    *,
    springs: int,
) -> Plan:
    """Options, order dates, costs, reopening and work for every zone that is hurt or likely to be.

    Hurt: 5 % dead or more by a survey; without one, 5 % expected dead already, and likely enough to end badly
    that ordering pays, or a quarter dead in the mean. What is less sure is named apart; before harm has begun
    nothing is.

    Args:
        soil (day, zone, member) [degC]: at 5 cm; measured to `on`, then as past springs went.
        weight (member): of the springs. rows: of the table, acting on recovery.
        springs: past springs behind the days.
    """
    longer = with_summer(soil)
    first = longer["day"].to_numpy()[0].astype("datetime64[D]").astype(dt.date)
    start, winter = (on - first).days, winter_of(on)
    act_above = Stakes.of(course.money).act_above
    suspect = sorted((d for d in damages if _suspect(d)), key=lambda d: -d.dead_size[1])
    hurt = [d for d in suspect if d.source == "survey" or d.chance > act_above or d.middle >= PARTS]
    zones = []
    for damage in hurt:
        temperature = np.asarray(longer.sel(zone=damage.zone).transpose("day", "member"), dtype=np.float64)
        ways = options(course, damage, temperature, start, on, winter, rows)
        share = damage.size / _area_size(course, damage.area)
        cost = order_or_wait(
            damage.chance if damage.source != "survey" else float(damage.middle >= PARTS),
            Stakes.of(course.money).of_share(share),
            settled=damage.source == "survey",
        )
        days = {way.means: _days(way, weight, first) for way in ways}
        zones.append(ZonePlan(damage, ways, _proposed(ways, damage, weight), days, cost))
    chosen = [z.option(z.proposed) for z in zones if z.decided]
    areas = tuple(
        _area(course, area, zones, weight, first, winter)
        for area in dict.fromkeys(z.damage.area for z in zones)
    )
    hours = tuple(float(sum(o.hours[i] for o in chosen)) for i in range(3))
    last = longer["day"].to_numpy()[-1].astype("datetime64[D]").astype(dt.date)
    unsure = tuple(d for d in suspect if d not in hurt)
    return Plan(on, tuple(zones), unsure, areas, hours, workdays_needed(course, hours[1]), springs, last)  # type: ignore[arg-type]


def _suspect(damage: ZoneDamage) -> bool:
    return damage.middle >= SPOTS and (damage.source == "survey" or damage.so_far >= SPOTS)


def _area_size(course: Course, area: str) -> float:
    return next(view.area_size for view in course.zones() if view.area == area)


def _days(way: Option, weight: Array, first: dt.date) -> dict[str, DayRange]:
    told = {"work": way.dates.work, "up": way.dates.up, "play": way.dates.play}
    told |= {"cover_on": way.dates.cover_on, "cover_off": way.dates.cover_off}
    return {name: day_range(np.asarray(d), weight, first) for name, d in told.items() if np.ndim(d)}


def _proposed(ways: Sequence[Option], damage: ZoneDamage, weight: Array) -> str:
    """The cheapest way that is no more than two weeks behind the earliest in the middle spring.

    Sod only from a quarter dead on.
    """
    middle = {
        w.means: weighted_days(np.asarray(w.dates.play), weight)[1]
        for w in ways
        if w.means != "sod" or damage.middle >= PARTS
    }
    soonest = min(middle.values())
    return next(m for m in CHEAPEST_FIRST if m in middle and middle[m] <= soonest + WORTH)


def _area(
    course: Course, area: str, zones: Sequence[ZonePlan], weight: Array, first: dt.date, winter: str
) -> AreaPlan:
    rules, size = course.reopening, _area_size(course, area)
    here = [z for z in zones if z.damage.area == area and z.damage.middle > 1.0 - rules.cover + 1e-9]
    opening = float((course.calendar.on("opening", winter) - first).days)
    play = [np.asarray(z.option(z.proposed).dates.play) for z in here]
    sizes = [z.damage.size for z in here]

    def reached(wanted: int) -> Array:
        """First day (member) on which the zones back in play leave so many hole locations."""
        found = np.full(len(weight), opening)
        for m in range(len(weight)):
            for day in sorted({opening, *(float(p[m]) for p in play if p[m] > opening)}):
                closed = sum(s for s, p in zip(sizes, play, strict=True) if p[m] > day)
                found[m] = day
                if hole_locations(size, closed, rules) >= min(wanted, hole_locations(size, 0.0, rules)):
                    break
        return found

    return AreaPlan(
        area,
        course.area(area).kind,
        size,
        tuple(z.damage.zone for z in here),
        tuple(z.damage.zone for z in here if not z.decided),
        hole_locations(size, sum(sizes), rules),
        day_range(reached(rules.few_locations), weight, first),
        day_range(reached(rules.hole_locations), weight, first),
    )
