"""What the winter cost: days and money lost to weather, and those lost to dead turf, kept apart."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.course import Course
from winterrisk.recovery.plan import AreaPlan, Plan
from winterrisk.reports.night_record import rounded

Row = dict[str, Any]
GREEN = "green"


def cost_record(
    course: Course,
    winter: str,
    *,
    fit_from: dt.date | None,
    plan: Plan | None,
    plugs: Sequence[Mapping[str, Any]],
    why: str = "",
) -> Row:
    """Days and money of a winter by the calendar and money sections of the course file.

    Weather: days from the planned opening to the first the ground was fit for play, the whole course closed. Dead
    turf: from then (or the opening, if later) to the day each closed green may be played again by the reopening
    rules, as known on the day of the plan; in money the losses the course file names for a closed green, from
    `loss_prepared` to `loss_unprepared`. What the plugs cost stands apart.

    Args:
        fit_from: first day the weather would have let play begin; None where nobody can say. plan: of the day of
            the spring survey; None without one. plugs: rounds of the season. why: why something cannot be said.
    """
    money, opening = course.money, course.calendar.on("opening", winter)
    late = None if fit_from is None else max(0, (fit_from - opening).days)
    begins = max(opening, fit_from or opening)
    greens = [] if plan is None else [_green(a, begins) for a in plan.areas if _kept_shut(a, course)]
    closed = [g for g in greens if g["days"][2] != 0]
    trips = {row["cut"] for row in plugs}
    return {
        "currency": money.currency,
        "opening": opening.isoformat(),
        "fit_from": None if fit_from is None else fit_from.isoformat(),
        "weather_days": late,
        "closed_day": money.closed_day,
        "weather_money": None if late is None else rounded(late * money.closed_day),
        "known_on": None if plan is None else plan.on.isoformat(),
        "last_day": None if plan is None else plan.last_day.isoformat(),
        "springs": None if plan is None else plan.springs,
        "greens": greens,
        "green_days": [_total(g["days"][i] for g in closed) for i in range(3)],
        "damage_money": None
        if plan is None
        else [len(closed) * money.loss_prepared, len(closed) * money.loss_unprepared],
        "plug_money": rounded(len(trips) * money.trip + sum(row["number"] for row in plugs) * money.plug),
        "why": why,
    }


def _kept_shut(area: AreaPlan, course: Course) -> bool:
    return area.kind == GREEN and bool(area.closed) and area.locations < course.reopening.hole_locations


def _green(area: AreaPlan, begins: dt.date) -> Row:
    """A green with dead turf: the days it stays shut after the weather let it open, None where it ends unknown."""
    dates = (area.whole.p10, area.whole.p50, area.whole.p90)
    return {
        "area": area.area,
        "zones": list(area.closed),
        "locations": area.locations,
        "open": [None if day is None else day.isoformat() for day in dates],
        "days": [None if day is None else max(0, (day - begins).days) for day in dates],
    }


def _total(days: Any) -> int | None:
    """The sum; None where one of them is not known."""
    every = list(days)
    return None if any(day is None for day in every) else sum(every)
