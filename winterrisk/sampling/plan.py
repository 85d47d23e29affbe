"""The plan of a night: which zones to look at, where to pull plugs, and what is held back and why."""

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import Course, winter_of, winter_start
from winterrisk.sampling.budget import BUDGET, message_price
from winterrisk.sampling.calls import Plan, Restraint
from winterrisk.sampling.decision_days import SPRING
from winterrisk.sampling.look_call import look, look_call
from winterrisk.sampling.pull_call import LAST_CALL, WAITS_FOR_A_LOOK, pull
from winterrisk.sampling.restraint import MOST_MESSAGES, restrained
from winterrisk.sampling.tonight import Night, ZoneTonight, chances_told, zone_tonight
from winterrisk.sampling.value import Stakes
from winterrisk.sampling.workday import next_workday

MOST_LOOKS, MOST_PULLS = 4, 6
"""Zones of one round (judged: a winter morning of two people; who goes out twice in a week goes once too often)."""


def plan(
    outlook: xr.Dataset,
    course: Course,
    book: object,
    money: Stakes,
    weather: xr.Dataset,
    on: dt.date,
    *,
    until: dt.date,
    growing: Mapping[str, dt.date] | None = None,
    restraint: Restraint | None = None,
    answered: Collection[str] = (),
) -> Plan:
    """The calls of the night `on`: what is worth most, as little as does.

    A look or a round of plugs is worth the money that the better order, seed or wait after its answer saves, less
    its own cost (the trip is paid once a night). A zone stands for its share of the green's loss. LOOK comes before
    PULL where it is worth more a minute. No plugs in a zone nobody looked at for 14 days unless the chance is above
    0.5 without ice; after a frost none before somebody told whether it lay bare; none below a chance of 0.15, none
    once the course is open. A message must be worth its price; a call that went out stands until it is answered or
    three days after its day, and is then held back until the chance has risen.

    Args:
        outlook: holds the day before `on` (tonight: damage done so far) and `until`; days between them are days on
            which one could cut.
        book: record of the book, with a frame `observations` and, if spots are not to come twice, `plugs`.
        weather (time[, member]): to choose a day on which one can work.
        growing: zone -> day on which the plugs now growing are due.
        restraint: what the night before left; answered: zones with a look, plugs or a survey since then.
    """
    tonight, end = np.datetime64(on, "D") - 1, np.datetime64(until, "D")
    zones = [str(z) for z in outlook["zone"].to_numpy()]
    last = outlook["chance"].sel(day=end, band="parts")
    plugs = getattr(book, "plugs", None)
    night = Night(
        outlook=outlook,
        course=course,
        observations=pd.DataFrame(getattr(book, "observations")),  # noqa: B009
        plugs=pd.DataFrame({"zone": [], "spot": [], "cut": []}) if plugs is None else pd.DataFrame(plugs),
        growing=growing or {},
        stakes=money,
        weather=weather,
        on=on,
        by=next_workday(course, weather, on),
        tonight=tonight,
        until=end,
        safest=zones[int(np.argmin(last.to_numpy()))],
        told=chances_told(outlook),
    )
    views = {view.label: view for view in course.zones()}
    known = {zone: zone_tonight(night, zone, views[zone]) for zone in zones}
    pulls = {zone: call for zone in zones if (call := pull(night, zone, known[zone])) is not None}
    looks = {}
    for zone in zones:
        waiting = pulls.get(zone)
        if waiting is not None and waiting.held_because not in WAITS_FOR_A_LOOK:
            waiting = None
        if (call := look(night, zone, known[zone], waiting)) is not None:
            looks[zone] = call
    for zone, call in pulls.items():
        first = looks.get(zone)
        if not call.held_because and first is not None:
            if first.worth / first.minutes > call.worth / call.minutes:
                pulls[zone] = replace(call, held_because="look first: the answer may make plugs needless")
            else:
                del looks[zone]
    wanted_calls = [*looks.values(), *(c for c in pulls.values() if not c.held_because)]
    held = [c for c in pulls.values() if c.held_because]
    left = max((dt.date(winter_start(winter_of(on)).year + 1, *SPRING) - on).days, 1)
    before = (restraint or Restraint()).without(answered)
    if before.messages < MOST_MESSAGES:
        usual = money.of_share(_usual_share(known.values()))
        price = message_price(left, max(BUDGET - before.messages, 1), usual)
    else:
        price = message_price(left, 0, money)
    last_call = night.cut_by - LAST_CALL if night.cut_by else None
    done = restrained(
        wanted_calls, held, before, on, price, (MOST_LOOKS, MOST_PULLS), money.trip, last_call,
        currency=course.money.currency,
    )  # fmt: skip
    telling = sorted(zones, key=lambda zone: -known[zone].look)[:2]
    return replace(
        done,
        looks_wanted=tuple(look_call(night, zone, known[zone]) for zone in telling if known[zone].look > 0.0),
    )


def _usual_share(zones: Collection[ZoneTonight]) -> float:
    return float(np.median([zone.view.share for zone in zones]))
