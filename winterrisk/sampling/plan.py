"""The plan of a night: which zones to look at, where to pull plugs, and what is held back and why."""

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import Course, speaks_for, winter_of, winter_start
from winterrisk.course.zone_view import ZoneView
from winterrisk.sampling.answers import possible
from winterrisk.sampling.budget import BUDGET, message_price
from winterrisk.sampling.calls import Call, Plan, Restraint
from winterrisk.sampling.decision_days import SPRING
from winterrisk.sampling.pull_day import VERDICT_DAYS
from winterrisk.sampling.question import ICE_SEEN, Question, questions
from winterrisk.sampling.restraint import MOST_MESSAGES, restrained
from winterrisk.sampling.spots import spots
from winterrisk.sampling.value import Stakes
from winterrisk.sampling.workday import next_workday
from winterrisk.sampling.worth import (
    LOOK_MINUTES,
    Ahead,
    Round,
    best_round,
    look_worth,
)
from winterrisk.science.day_words import day_month
from winterrisk.science.weighted import weighted_median

LOOK_EVERY = 7
LOOK_SPEAKS_FOR = 14
HIGH_WITHOUT_LOOK = 0.5
NEW_DAMAGE = 0.02
"""Days between looks, days a look speaks for a plug, chance at which plugs need no look, new dead share that
re-opens a zone (judged)."""
LEAST_CHANCE = 0.15
"""Chance of harm below which nobody is sent for plugs, whatever the stakes: calls that are mostly wrong are not
heeded (job rule, judged; cheap advice may be wrong about half the time)."""
LEAST_LOOK_CHANCE = 0.10
"""The same for a look: chance that more than a quarter is dead in the end (judged)."""
LOOK_BETWEEN = (0.1, 0.9)
"""Chance of 'yes' outside which a look would only confirm (judged)."""
WAIT_AT_MOST, WAIT_FOR = 6.0, 1.5
"""Days for which plugs wait for harm to come, and how far the chance must grow by then (judged: a call that is put off
from night to night is no call)."""
MOST_LOOKS, MOST_PULLS = 4, 6
"""Zones of one round (judged: a winter morning of two people; who goes out twice in a week goes once too often)."""
LAST_CALL = dt.timedelta(days=7)
"""Time before the last day that is in time for an order, in which plugs for it are cut (judged: a week of a crew)."""
OF_WATER = ("ice", "wet_freeze", "mixed")
"""Causes against which something can still be done on the ground: ice and water taken off, drains opened."""
MOULD = "snow mould shows as patches when the snow goes: look then; plugs tell no more"
SEEN_BY_EYE = {
    "snow_mould_pink": MOULD,
    "snow_mould_grey": MOULD,
    "spring_frost": "a frost on growing grass bleaches its leaves within days: look then; plugs tell no more",
}
"""Causes that are seen, before a plug could green up: patches when the snow goes (common practice), bleached leaves
(common practice; leaves bleach before crowns die, turf notes)."""
GROWS = 0.5
"""Chance that the grass grows, from which it shows by itself what is dead [1] (judged)."""
LOOK_FIRST = "nobody has looked for 14 days: look first"
ICE_KINDS = ("ice_seen", "no_ice", "ice_from", "ice_removed", "ice_broken", "water_seen", "water_removed")


@dataclass(frozen=True)
class _Night:
    """What every zone's decision needs."""

    outlook: xr.Dataset
    course: Course
    observations: pd.DataFrame
    plugs: pd.DataFrame
    growing: Mapping[str, dt.date]
    stakes: Stakes
    weather: xr.Dataset
    on: dt.date
    by: dt.date
    tonight: np.datetime64
    until: np.datetime64
    safest: str
    told: Mapping[tuple[str, np.datetime64], tuple[float, float, float]]

    @cached_property
    def ahead(self) -> Ahead:
        """The days of the outlook from tonight to the day chances are told for, and when an order is due."""
        days = self.days
        lead = tuple(float((d - self.tonight) / np.timedelta64(1, "D")) for d in days)
        return Ahead(lead, float(((self.due or self.on) - self.on).days))

    @cached_property
    def due(self) -> dt.date | None:
        """The next day on which seed or sod is ordered."""
        winter = winter_of(self.on)
        dates = [self.course.calendar.on(name, winter) for name in ("seed_order", "sod_order")]
        return min((d for d in dates if d >= self.on), default=None)

    @property
    def cut_by(self) -> dt.date | None:
        """The last day on which plugs may be cut for a verdict before that order."""
        return self.due - dt.timedelta(days=VERDICT_DAYS) if self.due else None

    @cached_property
    def days(self) -> list[np.datetime64]:
        """Those days, tonight first."""
        every = self.outlook["day"].to_numpy().astype("datetime64[D]")
        chosen = sorted({self.tonight, *every[(every >= self.tonight) & (every <= self.until)], self.until})
        return [np.datetime64(d, "D") for d in chosen]


@dataclass(frozen=True)
class _Zone:
    """What is known of one zone tonight."""

    view: ZoneView
    stakes: Stakes
    question: Question
    look: float
    round: Round
    chance: float
    looked: int | None


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
    its own cost (the trip is paid once a night).
    A zone stands for its share of the green's loss. LOOK comes before PULL where it is worth more a
    minute. No plugs for ice in a zone nobody looked at for 14 days unless the chance is above 0.5 without ice, none
    below a chance of 0.15, none once the course is open. A message must be worth its price; a call that went out
    stands until it is answered or three days after its day, and is then held back until the chance has risen.

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
    night = _Night(
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
        told=_told(outlook),
    )
    views = {view.label: view for view in course.zones()}
    known = {zone: _known(night, zone, views[zone]) for zone in zones}
    pulls = {zone: call for zone in zones if (call := _pull(night, zone, known[zone])) is not None}
    looks = {}
    for zone in zones:
        waiting = pulls[zone] if zone in pulls and pulls[zone].held_because == LOOK_FIRST else None
        if (call := _look(night, zone, known[zone], waiting)) is not None:
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
        looks_wanted=tuple(
            _look_call(night, zone, known[zone]) for zone in telling if known[zone].look > 0.0
        ),
    )


def _usual_share(zones: Collection[_Zone]) -> float:
    return float(np.median([zone.view.share for zone in zones]))


def _known(night: _Night, zone: str, view: ZoneView) -> _Zone:
    stakes = replace(night.stakes.of_share(view.share), trip=0.0)
    asked = questions(night.outlook, zone, night.tonight, night.until)
    here = possible(night.outlook, zone, night.days)
    minutes = night.stakes.trip * LOOK_MINUTES / 60.0
    worths = [look_worth(here, question, night.ahead, stakes) - minutes for question in asked]
    best = int(np.argmax(worths))
    return _Zone(
        view, stakes, asked[best], worths[best], best_round(here, night.ahead, stakes),
        _ranges(night, zone, night.tonight)[0], _days_since_look(night, zone),
    )  # fmt: skip


def _days_since_look(night: _Night, zone: str) -> int | None:
    """Days since somebody told whether there is ice: by a note that holds for the zone, or by a plug's ice."""
    seen, cut = night.observations, night.plugs
    times = []
    if len(seen):
        times += list(seen["time"][speaks_for(seen, zone) & seen["kind"].isin(ICE_KINDS)])
    if "ice_mm" in cut:
        times += list(cut["cut"][(cut["zone"] == zone) & cut["ice_mm"].notna()])
    if not times:
        return None
    return (pd.Timestamp(night.on) - pd.Timestamp(max(times)).normalize()).days


def _ranges(night: _Night, zone: str, day: np.datetime64) -> tuple[float, float, float]:
    return night.told[zone, np.datetime64(day, "D")]


def _told(outlook: xr.Dataset) -> dict[tuple[str, np.datetime64], tuple[float, float, float]]:
    """Chance of 'parts' and its two ends, by zone and day."""
    there = outlook.sel(band="parts")
    ends = [
        there[name].transpose("day", "zone").to_numpy() for name in ("chance", "chance_low", "chance_high")
    ]
    return {
        (str(zone), np.datetime64(day, "D")): (
            float(ends[0][d, z]),
            float(ends[1][d, z]),
            float(ends[2][d, z]),
        )
        for d, day in enumerate(outlook["day"].to_numpy().astype("datetime64[D]"))
        for z, zone in enumerate(outlook["zone"].to_numpy())
    }


def _look(night: _Night, zone: str, known: _Zone, waiting: Call | None) -> Call | None:
    """The look of a zone, where its answer is worth having; plugs worth their cost that wait for a look make it so."""
    low, high = LOOK_BETWEEN
    if _open(night) or (known.looked is not None and known.looked < LOOK_EVERY):
        return None
    call = _look_call(night, zone, known)
    if waiting is not None:
        reason = f"worth plugs ({known.chance:.0%} that more than a quarter is dead), but nobody looked for 14 days"
        return replace(call, reason=reason, worth=max(call.worth, waiting.worth))
    telling = low <= known.question.yes <= high and call.chance >= LEAST_LOOK_CHANCE
    return call if telling and known.look > 0.0 else None


def _look_call(night: _Night, zone: str, known: _Zone) -> Call:
    question = known.question
    since = known.looked
    last = "nobody has looked this winter" if since is None or since > 200 else f"last look {since} d ago"
    what = "ice on the turf" if question.about == "ice" else "water in the crowns and on the turf"
    reason = (
        f"is there {what}? {question.yes:.0%} likely, {last}; if yes {question.chance_if_yes:.0%}, "
        f"if no {question.chance_if_no:.0%} that more than a quarter is dead later"
    )
    chance, least, most = _ranges(night, zone, night.until)
    better = "no" if question.chance_if_no <= question.chance_if_yes else "yes"
    change = f"a note that says {better} takes the chance to {min(question.chance_if_no, question.chance_if_yes):.0%}"
    until = night.until.astype(dt.date)
    return Call(
        "look", zone, known.view.area, night.by, 1, (), reason, chance, least, most, "parts", until,
        change=change, worth=round(known.look, 2), minutes=LOOK_MINUTES,
    )  # fmt: skip


def _pull(night: _Night, zone: str, known: _Zone) -> Call | None:
    chance, least, most = _ranges(night, zone, night.tonight)
    best = known.round
    order_pays = chance > known.stakes.act_above and best.gain <= 0.0
    then = _ranges(night, zone, night.days[best.day])[0]
    if max(chance, then) < LEAST_CHANCE or (best.gain <= 0.0 and not order_pays):
        return None
    now = night.outlook[["ice_thickness_max", "days_under_ice"]].sel(zone=zone, day=night.tonight)
    weight = night.outlook["weight"].sel(zone=zone).sum("draw").to_numpy()
    ice = float((weight * (now["ice_thickness_max"].to_numpy() >= ICE_SEEN)).sum() / weight.sum())
    days = weighted_median(now["days_under_ice"].to_numpy(), weight)
    looked = known.looked is not None and known.looked <= LOOK_SPEAKS_FOR
    day = night.days[best.day].astype(dt.date)
    cause = night.outlook["share_by_hazard"].sel(zone=zone, day=night.tonight)
    main = str(cause["hazard"].to_numpy()[int(np.argmax(cause.to_numpy()))])
    held = ""
    if _open(night):
        held = "the course is open: the grass itself shows it; note a spring survey"
    elif order_pays:
        held = f"at {chance:.0%} ordering seed or sod pays, and plugs would cost more than they could save"
    elif zone in night.growing:
        held = f"plugs of this zone are growing; their verdict is due {day_month(night.growing[zone])}"
    elif _grows(night, zone):
        held = "the grass grows: what stays brown beside green is dead; look, and note a spring survey"
    elif main in SEEN_BY_EYE:
        held = SEEN_BY_EYE[main]
    elif main not in OF_WATER and ice < 0.5 and night.cut_by and night.on < night.cut_by - LAST_CALL:
        held = (
            f"no ice or water to act on, and nothing is ordered before {day_month(night.due)}: plugs cut "
            f"from {day_month(night.cut_by - LAST_CALL)} to {day_month(night.cut_by)} tell more, in time"
        )
    elif best.tonight <= 0.0:
        held = (
            f"plugs cut about {day_month(day)} are worth more"
            if best.day
            else "plugs would hardly change the order"
        )
    elif not looked and not (chance > HIGH_WITHOUT_LOOK and ice < 0.5):
        held = LOOK_FIRST
    elif not _new_damage(night, zone):
        held = "the last plugs still speak for this zone: little new harm since"
    elif _worth_waiting(night, zone, best, chance):
        held = f"more may die by {day_month(day)}: plugs cut about then tell more"
    if chance < LEAST_CHANCE and not held.startswith("more may die"):
        return None
    under = f"day {days:.0f} under ice; " if days >= 1 and ice >= 0.5 else ""
    cut = night.plugs[night.plugs["zone"] == zone]
    winter = pd.Timestamp(winter_start(winter_of(night.on)))
    used = [str(s) for s in cut.loc[pd.to_datetime(cut["cut"]) >= winter, "spot"]]
    return Call(
        "pull", zone, known.view.area, night.by, best.number, spots(best.number, used), f"{under}{main}",
        chance, least, most, "parts", night.tonight.astype(dt.date), held,
        change=_pull_change(known, ice), worth=round(best.tonight, 2), minutes=best.minutes,
        control=f"one plug of {night.safest} or of turf that was never iced" if night.safest != zone else "",
    )  # fmt: skip


def _worth_waiting(night: _Night, zone: str, best: Round, chance: float) -> bool:
    """Whether much harm may be done within a week that plugs cut tonight could not show."""
    lead = float((night.days[best.day] - night.tonight) / np.timedelta64(1, "D"))
    then = _ranges(night, zone, night.days[best.day])[0]
    soon = 0.0 < lead <= WAIT_AT_MOST and then >= max(WAIT_FOR * chance, chance + 0.1)
    return soon and best.gain > best.tonight


def _pull_change(known: _Zone, ice: float) -> str:
    question = known.question
    if question.about == "ice" and 0.1 <= ice <= 0.9 and question.now_if_no < LEAST_CHANCE:
        return f"no ice there would make it {question.now_if_no:.0%}: then leave the drill at home"
    return f"below {LEAST_CHANCE:.0%} nobody is sent for plugs, nor where they would cost more than they could save"


def _open(night: _Night) -> bool:
    return night.on >= night.course.calendar.on("opening", winter_of(night.on))


def _grows(night: _Night, zone: str) -> bool:
    if "growing" not in night.outlook:
        return False
    return float(night.outlook["growing"].sel(zone=zone, day=night.tonight)) >= GROWS


def _new_damage(night: _Night, zone: str) -> bool:
    known = night.outlook["evidence_until"].sel(zone=zone).to_numpy()
    if np.isnat(known):
        return True
    day = known.astype("datetime64[D]")
    if day not in night.outlook["day"].to_numpy().astype("datetime64[D]"):
        return True
    dead = night.outlook["dead_share"].sel(zone=zone)
    return float(dead.sel(day=night.tonight) - dead.sel(day=day)) >= NEW_DAMAGE
