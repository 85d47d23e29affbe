"""A recovery plan as plain values: what recovery.json keeps and the page shows."""

import datetime as dt
from collections.abc import Sequence
from typing import Any

import numpy as np

from winterrisk.course import Course, winter_of
from winterrisk.recovery.damage import ZoneDamage
from winterrisk.recovery.options import Option
from winterrisk.recovery.plan import AreaPlan, Plan, ZonePlan
from winterrisk.recovery.spread_of_days import DayRange
from winterrisk.reports.night_record import rounded

Row = dict[str, Any]


def recovery_record(
    course: Course,
    plan: Plan,
    why: Sequence[Row] = (),
    *,
    version: str,
    weather_until: np.datetime64,
    ahead: str,
    cannot_say: str = "",
) -> Row:
    """The plan with everything its page says; dates ISO, shares and chances [1], money in the course's currency.

    Args:
        why: rows of `why_there`. weather_until: UTC, end of what was measured. ahead: what follows it. cannot_say: why
            the last days cannot be judged, or empty.
    """
    winter, rules = winter_of(plan.on), course.reopening
    return {
        "course": course.place.name,
        "invented": course.place.invented,
        "on": plan.on.isoformat(),
        "winter": winter,
        "version": version,
        "units": course.place.units,
        "currency": course.money.currency,
        "weather_until": str(weather_until.astype("datetime64[m]")),
        "ahead": ahead,
        "cannot_say": cannot_say,
        "springs": plan.springs,
        "last_day": plan.last_day.isoformat(),
        "opening": course.calendar.on("opening", winter).isoformat(),
        "rules": {
            "hole_locations": rules.hole_locations,
            "few_locations": rules.few_locations,
            "distance_m": rules.distance,
            "cover": rules.cover,
        },
        "zones": [_zone(z) for z in plan.zones],
        "unsure": [_damage(d) for d in plan.unsure],
        "areas": [_area(a) for a in plan.areas],
        "hours": [rounded(h) for h in plan.hours],
        "workdays": plan.workdays,
        "people": course.crew.people,
        "crew_hours": course.crew.hours,
        "why": list(why),
    }


def _damage(damage: ZoneDamage) -> Row:
    return {
        "zone": damage.zone,
        "area": damage.area,
        "size_m2": rounded(damage.size),
        "dead": {"low": rounded(damage.low), "middle": rounded(damage.middle), "high": rounded(damage.high)},
        "source": damage.source,
        "day": damage.day.isoformat(),
        "chance": {
            "middle": rounded(damage.chance),
            "low": rounded(damage.chance_low),
            "high": rounded(damage.chance_high),
        },
    }


def _zone(plan: ZonePlan) -> Row:
    return {
        **_damage(plan.damage),
        "decided": plan.decided,
        "proposed": plan.proposed,
        "cost": {
            "order": rounded(plan.cost.order),
            "never": rounded(plan.cost.never),
            "plugs": rounded(plan.cost.plugs),
            "best": plan.cost.best,
        },
        "options": [_option(o, plan) for o in plan.options],
    }


def _option(option: Option, plan: ZonePlan) -> Row:
    return {
        "means": option.means,
        "grass": option.grass,
        "unit": option.unit,
        "amount": [rounded(a) for a in option.amount],
        "order_by": None if option.order_by is None else option.order_by.isoformat(),
        "hours": [rounded(h) for h in option.hours],
        "days": {name: _days(days) for name, days in plan.days[option.means].items()},
    }


def _area(area: AreaPlan) -> Row:
    return {
        "area": area.area,
        "kind": area.kind,
        "size_m2": rounded(area.size),
        "closed": list(area.closed),
        "unproved": list(area.unproved),
        "hole_locations": area.locations,
        "some_days": _days(area.few),
        "open": _days(area.whole),
    }


def _days(days: DayRange) -> dict[str, str | None]:
    def iso(day: dt.date | None) -> str | None:
        return None if day is None else day.isoformat()

    return {"p10": iso(days.p10), "p50": iso(days.p50), "p90": iso(days.p90)}
