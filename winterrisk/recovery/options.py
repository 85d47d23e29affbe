"""What can be done about a zone: wait, plug, seed or sod, with amounts, dates, hours and costs."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from winterrisk.course import Course
from winterrisk.recovery.damage import ZoneDamage
from winterrisk.recovery.grow_in import Dates, plugged, seeded, seeded_under_cover, sodded, waited

Array = NDArray[np.float64]
Means = Literal["wait", "plugs", "seed", "seed under a cover", "sod"]
PLUGS_UP_TO = 600
"""Cup-cutter plugs of one zone above which plugging is not offered (judged: two long days of two people)."""
SOWN = (
    "creeping_bent",
    "velvet_bent",
    "colonial_bent",
    "perennial_ryegrass",
    "kentucky_bluegrass",
    "fine_fescue",
)
"""Grasses that are sown; annual bluegrass comes by itself."""
LEAST_UNDER_COVER = 5.0
"""Days under a permeable cover below which it is not worth laying [d] (judged)."""
HUNDRED = 100.0
SHIPPING = 14
"""Days from an order to its work [d] (judged)."""


@dataclass(frozen=True)
class Option:
    """One way to bring a zone back.

    amount: low, middle and high in unit (g of seed, m2 of sod, plugs; 0 for waiting). order_by: None where
    nothing is ordered. hours: low, middle, high. dates: of every spring.
    """

    means: Means
    grass: str
    unit: str
    amount: tuple[float, float, float]
    order_by: dt.date | None
    hours: tuple[float, float, float]
    dates: Dates


def sown_grass(course: Course, zone: str) -> str:
    """The grass sown in a zone: as the course file says, else its largest sown grass, else creeping bent."""
    if course.repair.seed:
        return course.repair.seed
    turf = course.zone(zone).turf
    here = [grass for grass in SOWN if turf.get(grass, 0.0) > 0]
    return max(here, key=lambda grass: turf[grass], default=SOWN[0])


def order_by(course: Course, name: str, winter: str, first_work: dt.date | None, on: dt.date) -> dt.date:
    """The day by which to order: the course file's date, or two weeks before the work where that is earlier.

    Never before `on`: what should have been ordered is ordered now.

    Args:
        name: seed_order or sod_order; first_work: earliest likely day of the work, None where unknown.
    """
    written = course.calendar.on(name, winter)
    wanted = written if first_work is None else min(written, first_work - dt.timedelta(days=SHIPPING))
    return max(wanted, on)


def options(
    course: Course,
    damage: ZoneDamage,
    soil: Array,
    start: int,
    on: dt.date,
    winter: str,
    rows: Mapping[str, Array | float],
) -> tuple[Option, ...]:
    """Every way that can be had for a zone, waiting first.

    Args:
        damage: of the zone. soil (day, member) [degC]: at 5 cm; `start`: its day that is `on`.
        rows: rows of the table that act on recovery, values or draws (member).
    """
    grass, cover = sown_grass(course, damage.zone), course.reopening.cover
    dead = damage.dead_size
    first = on - dt.timedelta(days=start)
    since = max(0, (damage.day - first).days) if damage.source == "survey" else None
    seed_dates = seeded(soil, start, grass, cover, rows)
    covered = seeded_under_cover(soil, start, grass, cover, rows)
    sod_dates, plug_dates = sodded(soil, start, rows), plugged(soil, start, rows)
    hours_cover = 2 * _mean(rows, "cover_hours")
    found = [
        Option(
            "wait",
            "",
            "",
            (0.0, 0.0, 0.0),
            None,
            (0.0, 0.0, 0.0),
            waited(soil, start, damage.middle, rows, since),
        )
    ]
    number = _each(dead, lambda area: float(ceil(area / _mean(rows, "cutter_area") - 1e-9)))
    if "plugs" not in course.repair.without and number[1] <= PLUGS_UP_TO:
        hours = _each(number, lambda n: n * _mean(rows, "plug_hours"))
        found.append(Option("plugs", "", "plugs", number, None, hours, plug_dates))
    if "seed" not in course.repair.without:
        grams = _each(dead, lambda area: area * _mean(rows, f"seed_rate.{grass}"))
        hours = _each(dead, lambda area: area / HUNDRED * _mean(rows, "seed_hours"))
        by = order_by(course, "seed_order", winter, _early(seed_dates.work, first), on)
        found.append(Option("seed", grass, "g", grams, by, hours, seed_dates))
        if _is_of_use(covered):
            longer = _each(dead, lambda area: area / HUNDRED * (_mean(rows, "seed_hours") + hours_cover))
            by = order_by(course, "seed_order", winter, _early(covered.work, first), on)
            found.append(Option("seed under a cover", grass, "g", grams, by, longer, covered))
    if "sod" not in course.repair.without:
        square = _each(dead, lambda area: area * _mean(rows, "sod_waste"))
        hours = _each(dead, lambda area: area / HUNDRED * _mean(rows, "sod_hours"))
        by = order_by(course, "sod_order", winter, _early(sod_dates.work, first), on)
        found.append(Option("sod", "", "m2", square, by, hours, sod_dates))
    return tuple(found)


def _is_of_use(covered: Dates) -> bool:
    """Whether a cover would lie for some days in the middle spring: not where the soil is warm already."""
    lies = np.asarray(covered.cover_off) - covered.work
    known = lies[np.isfinite(lies)]
    return bool(len(known)) and float(np.median(known)) >= LEAST_UNDER_COVER


def _mean(rows: Mapping[str, Array | float], name: str) -> float:
    return float(np.mean(rows[name]))


def _each(values: tuple[float, float, float], of: Callable[[float], float]) -> tuple[float, float, float]:
    low, middle, high = values
    return of(low), of(middle), of(high)


def _early(days: Array, first: dt.date) -> dt.date | None:
    """The earliest tenth of the springs as a date; None where no spring has one."""
    known = days[np.isfinite(days)]
    return first + dt.timedelta(days=int(np.floor(np.quantile(known, 0.1)))) if len(known) else None
