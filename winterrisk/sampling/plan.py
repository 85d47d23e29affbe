"""The plan of a night: which zones to look at, where to pull plugs, and what is held back and why."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import Course, winter_of
from winterrisk.sampling.question import ICE_SEEN, Question, questions
from winterrisk.sampling.spots import spots
from winterrisk.sampling.value import Stakes, best_number
from winterrisk.sampling.workday import next_workday

LOOK_BETWEEN = (0.2, 0.8)
LOOK_EVERY = 7
LOOK_MOVES = 0.10
LOOK_SPEAKS_FOR = 14
HIGH_WITHOUT_LOOK = 0.5
NEW_DAMAGE = 0.02
"""The rule of this version (judged): chance that a look answers, days between looks, points it must move,
days a look speaks for a plug, chance at which plugs need no look, new dead share that re-opens a zone."""
LEAST_CHANCE = 0.15
"""Chance of harm below which nobody is sent for plugs, whatever the stakes: calls that are mostly wrong are not
heeded (job rule, judged; cheap advice may be wrong about half the time)."""
MOST_LOOKS, MOST_PULLS = 4, 3
"""Zones of one round (judged: a short winter morning of one person)."""
LOOK_FIRST = "nobody has looked for 14 days: look first"
ICE_KINDS = ("ice_seen", "no_ice", "ice_from", "ice_removed", "ice_broken", "water_seen", "water_removed")


@dataclass(frozen=True)
class Call:
    """One thing to do: look, pull plugs or act, where, by when and why."""

    kind: Literal["look", "pull", "act"]
    zone: str
    area: str
    by: dt.date
    number: int
    spots: tuple[str, ...]
    reason: str
    chance: float
    low: float
    high: float
    band: str
    until: dt.date
    held_because: str = ""


@dataclass(frozen=True)
class Plan:
    """Calls of a night, those held back with the reason, and the two looks that would help most."""

    calls: tuple[Call, ...]
    held_back: tuple[Call, ...]
    looks_wanted: tuple[Call, ...]


@dataclass(frozen=True)
class _Night:
    """What every zone's decision needs."""

    outlook: xr.Dataset
    course: Course
    observations: pd.DataFrame
    growing: Mapping[str, dt.date]
    stakes: Stakes
    on: dt.date
    by: dt.date
    tonight: np.datetime64
    until: np.datetime64


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
) -> Plan:
    """The calls of the night `on`.

    LOOK where the chance of ice (or of soaked crowns) lies between 0.2 and 0.8, nobody looked for 7 days and
    either answer would move the chance of 'parts' dead by 10 points. PULL where 3 to 6 plugs are worth more than
    they cost and the chance is 0.15 or more, after a look of the last 14 days or at a chance above 0.5 without
    ice, before the course opens; a zone stands for its share of the green's loss. A pull that only lacks a look
    is called as a look.

    Args:
        outlook: holds the day before `on` (tonight: damage done so far) and `until`.
        book: record of the book, with a frame `observations`.
        weather (time[, member]): to choose a day on which one can work.
        growing: zone -> day on which the plugs now growing are due.
    """
    by = next_workday(course, weather, on)
    observations = pd.DataFrame(getattr(book, "observations"))  # noqa: B009
    night = _Night(
        outlook,
        course,
        observations,
        growing or {},
        money,
        on,
        by,
        np.datetime64(on, "D") - 1,
        np.datetime64(until, "D"),
    )
    zones = [str(z) for z in outlook["zone"].to_numpy()]
    asked = {
        zone: max(questions(outlook, zone, night.tonight, night.until), key=lambda q: q.worth)
        for zone in zones
    }
    looks = [call for zone in zones if (call := _look(night, zone)) is not None]
    pulls, held = [], []
    for zone in zones:
        call = _pull(night, zone, looked_for=any(c.zone == zone for c in looks))
        if call is not None:
            (held if call.held_because else pulls).append(call)
    looks.sort(key=lambda c: -asked[c.zone].worth)
    looks += sorted((_look_before(c) for c in held if c.held_because == LOOK_FIRST), key=_unsure)
    pulls.sort(key=_unsure)
    full = "more zones than one round; these come next"
    held += [replace(c, held_because=full) for c in (*looks[MOST_LOOKS:], *pulls[MOST_PULLS:])]
    wanted = sorted(zones, key=lambda zone: -asked[zone].worth)[:2]
    return Plan(
        calls=(*looks[:MOST_LOOKS], *pulls[:MOST_PULLS]),
        held_back=tuple(held),
        looks_wanted=tuple(_look_call(night, zone, asked[zone]) for zone in wanted if asked[zone].worth > 0),
    )


def _days_since_look(night: _Night, zone: str) -> int | None:
    seen = night.observations
    if seen.empty:
        return None
    rows = seen[(seen["zone"] == zone) & seen["kind"].isin(ICE_KINDS)]
    if rows.empty:
        return None
    return (pd.Timestamp(night.on) - pd.Timestamp(rows["time"].max()).normalize()).days


def _area(zone: str, course: Course) -> str:
    return next(view.area for view in course.zones() if view.label == zone)


def _ranges(night: _Night, zone: str, day: np.datetime64) -> tuple[float, float, float]:
    there = night.outlook.sel(zone=zone, day=day, band="parts")
    return float(there["chance"]), float(there["chance_low"]), float(there["chance_high"])


def _look(night: _Night, zone: str) -> Call | None:
    since = _days_since_look(night, zone)
    if since is not None and since < LOOK_EVERY:
        return None
    low, high = LOOK_BETWEEN
    telling: Sequence[Question] = [
        q
        for q in questions(night.outlook, zone, night.tonight, night.until)
        if low <= q.yes <= high and q.moves >= LOOK_MOVES
    ]
    return _look_call(night, zone, max(telling, key=lambda q: q.worth)) if telling else None


def _look_call(night: _Night, zone: str, question: Question) -> Call:
    since = _days_since_look(night, zone)
    last = "nobody has looked this winter" if since is None or since > 200 else f"last look {since} d ago"
    what = "ice on the turf" if question.about == "ice" else "water in the crowns and on the turf"
    reason = (
        f"is there {what}? {question.yes:.0%} likely, {last}; if yes {question.chance_if_yes:.0%}, "
        f"if no {question.chance_if_no:.0%} that more than a quarter is dead later"
    )
    chance, least, most = _ranges(night, zone, night.until)
    until = night.until.astype(dt.date)
    return Call(
        "look", zone, _area(zone, night.course), night.by, 1, (), reason, chance, least, most, "parts", until
    )


def _look_before(held: Call) -> Call:
    """The look that a held-back pull waits for."""
    reason = (
        f"worth plugs ({held.chance:.0%} that more than a quarter is dead), but nobody looked for 14 days"
    )
    return replace(held, kind="look", number=1, spots=(), reason=reason, held_because="")


def _unsure(call: Call) -> float:
    """Sorts calls whose answer is least known first."""
    return -call.chance * (1 - call.chance)


def _pull(night: _Night, zone: str, *, looked_for: bool) -> Call | None:
    chance, least, most = _ranges(night, zone, night.tonight)
    view = next(v for v in night.course.zones() if v.label == zone)
    stakes = night.stakes.of_share(view.share)
    number, gain = best_number(chance, stakes)
    sure = gain <= 0 and chance > stakes.act_above and best_number(stakes.act_above, stakes)[1] > 0
    if chance < LEAST_CHANCE or (gain <= 0 and not sure):
        return None
    since = _days_since_look(night, zone)
    now = night.outlook.sel(zone=zone, day=night.tonight)
    weight = night.outlook["weight"].sel(zone=zone).sum("draw").to_numpy()
    ice = float((weight * (now["ice_thickness_max"].to_numpy() >= ICE_SEEN)).sum() / weight.sum())
    days = _weighted_median(now["days_under_ice"].to_numpy(), weight)
    held = ""
    if night.on >= night.course.calendar.on("opening", winter_of(night.on)):
        held = "the course is open: the grass itself shows it; note a spring survey"
    elif sure:
        held = "so likely that plugs would hardly change the order: order, or pull a few only to show"
    elif zone in night.growing:
        held = f"plugs of this zone are growing; their verdict is due {night.growing[zone]:%d %b}"
    elif looked_for:
        held = "look first: the answer may make plugs needless"
    elif not (since is not None and since <= LOOK_SPEAKS_FOR) and not (
        chance > HIGH_WITHOUT_LOOK and ice < 0.5
    ):
        held = LOOK_FIRST
    elif not _new_damage(night, zone):
        held = "the last plugs still speak for this zone: little new harm since"
    cause = night.outlook["share_by_hazard"].sel(zone=zone, day=night.tonight)
    main = str(cause["hazard"].to_numpy()[int(np.argmax(cause.to_numpy()))])
    under = f"day {days:.0f} under ice; " if days >= 1 and ice >= 0.5 else ""
    return Call(
        "pull", zone, view.area, night.by, number, spots(number), f"{under}{main}",
        chance, least, most, "parts", night.tonight.astype(dt.date), held,
    )  # fmt: skip


def _new_damage(night: _Night, zone: str) -> bool:
    known = night.outlook["evidence_until"].sel(zone=zone).to_numpy()
    if np.isnat(known):
        return True
    day = known.astype("datetime64[D]")
    if day not in night.outlook["day"].to_numpy().astype("datetime64[D]"):
        return True
    dead = night.outlook["dead_share"].sel(zone=zone)
    return float(dead.sel(day=night.tonight) - dead.sel(day=day)) >= NEW_DAMAGE


def _weighted_median(values: np.ndarray, weight: np.ndarray) -> float:
    order = np.argsort(values)
    cumulative = np.cumsum(weight[order])
    return float(values[order][np.searchsorted(cumulative, 0.5 * cumulative[-1])])
