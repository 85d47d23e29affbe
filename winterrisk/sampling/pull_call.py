"""The plugs of a zone: whether they are called tonight, or held back and why."""

import datetime as dt

import numpy as np
import pandas as pd

from winterrisk.course import winter_of, winter_start
from winterrisk.sampling.calls import Call
from winterrisk.sampling.question import ICE_SEEN
from winterrisk.sampling.spots import spots
from winterrisk.sampling.tonight import ICE_KINDS, Night, ZoneTonight, times_noted
from winterrisk.sampling.worth import Round
from winterrisk.science.day_words import day_month
from winterrisk.science.weighted import weighted_median

LOOK_SPEAKS_FOR, HIGH_WITHOUT_LOOK = 14, 0.5
"""Days that a look speaks for plugs, and chance above which plugs need no look (judged)."""
LOOK_FIRST = f"nobody has looked for {LOOK_SPEAKS_FOR} days: look first"
ASK_FIRST = "nobody has told since the frost whether it lay bare: look first"
WAITS_FOR_A_LOOK = (LOOK_FIRST, ASK_FIRST)
NEW_DAMAGE = 0.02
"""New dead share that re-opens a zone [1] (judged)."""
LEAST_CHANCE = 0.15
"""Chance of harm below which nobody is sent for plugs, whatever the stakes: calls that are mostly wrong are not
heeded (job rule, judged; cheap advice may be wrong about half the time)."""
WAIT_AT_MOST, WAIT_FOR = 6.0, 1.5
"""Days for which plugs wait for harm to come, and how far the chance must grow by then (judged: a call that is put off
from night to night is no call)."""
LAST_CALL = dt.timedelta(days=7)
"""Time before the last day that is in time for an order, in which plugs for it are cut (judged: a week of a crew)."""
OF_WATER = ("ice", "wet_freeze", "mixed")
"""Causes against which something can still be done on the ground: ice and water taken off, drains opened."""
OF_FROST = ("cold", "swings")
"""Causes that rest on turf having lain bare, of which a gauge tells little: at -25 degC a crown stands near -2 degC
under 7 cm of snow and near -17 bare (this column, Champion in December 1985 and February 1986)."""
SNOW_KINDS, SNOW_NEAR = ("snow_depth_seen", "snow_cleared", "crown_temperature_seen"), dt.timedelta(days=2)
"""Notes that tell how a frost met it, and how long before that night they may be of (judged)."""
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


def pull(night: Night, zone: str, known: ZoneTonight) -> Call | None:
    """The plugs of a zone, held back with the reason where they should wait; None where nobody would ask for them."""
    chance, least, most = night.ranges(zone, night.tonight)
    best = known.round
    order_pays = chance > known.stakes.act_above and best.gain <= 0.0
    then = night.ranges(zone, night.days[best.day])[0]
    if max(chance, then) < LEAST_CHANCE or (best.gain <= 0.0 and not order_pays):
        return None
    now = night.outlook[["ice_thickness_max", "days_under_ice"]].sel(zone=zone, day=night.tonight)
    weight = night.outlook["weight"].sel(zone=zone).sum("draw").to_numpy()
    ice = float((weight * (now["ice_thickness_max"].to_numpy() >= ICE_SEEN)).sum() / weight.sum())
    days = weighted_median(now["days_under_ice"].to_numpy(), weight)
    day = night.days[best.day].astype(dt.date)
    cause = night.outlook["share_by_hazard"].sel(zone=zone, day=night.tonight)
    main = str(cause["hazard"].to_numpy()[int(np.argmax(cause.to_numpy()))])
    ask = _look_may_overturn(night, zone, known, main, chance, ice)
    held = ""
    if night.open:
        held = "the course is open: the grass itself shows it; note a spring survey"
    elif zone in night.growing:
        held = f"plugs of this zone are growing; their verdict is due {day_month(night.growing[zone])}"
    elif _grows(night, zone):
        held = "the grass grows: what stays brown beside green is dead; look, and note a spring survey"
    elif main in SEEN_BY_EYE:
        held = SEEN_BY_EYE[main]
    elif main not in OF_WATER and ice < 0.5 and night.due is None:
        held = "no ice or water to act on, and the last day for seed or sod is past: the grass will show it"
    elif ask and main in OF_FROST:
        held = ASK_FIRST
    elif order_pays:
        held = f"at {chance:.0%} ordering seed or sod pays, and plugs would cost more than they could save"
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
    elif ask:
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


def _look_may_overturn(
    night: Night, zone: str, known: ZoneTonight, main: str, chance: float, ice: float
) -> bool:
    """Whether somebody who goes there may find what makes plugs needless: no ice, or snow where frost met bare turf."""
    worst = night.frost_night(zone) if main in OF_FROST else None
    if worst is not None:
        cut = night.plugs["cut"][night.plugs["zone"] == zone]
        told = [*times_noted(night, zone, (*ICE_KINDS, *SNOW_KINDS)), *pd.to_datetime(cut)]
        return not any(at.date() >= worst - SNOW_NEAR for at in told)
    if known.looked is not None and known.looked <= LOOK_SPEAKS_FOR:
        return False
    return main in OF_FROST or ice >= 0.5 or chance <= HIGH_WITHOUT_LOOK


def _worth_waiting(night: Night, zone: str, best: Round, chance: float) -> bool:
    """Whether much harm may be done within a week that plugs cut tonight could not show."""
    lead = float((night.days[best.day] - night.tonight) / np.timedelta64(1, "D"))
    then = night.ranges(zone, night.days[best.day])[0]
    soon = 0.0 < lead <= WAIT_AT_MOST and then >= max(WAIT_FOR * chance, chance + 0.1)
    return soon and best.gain > best.tonight


def _pull_change(known: ZoneTonight, ice: float) -> str:
    question = known.question
    if question.about == "ice" and 0.1 <= ice <= 0.9 and question.now_if_no < LEAST_CHANCE:
        return f"no ice there would make it {question.now_if_no:.0%}: then leave the drill at home"
    return f"below {LEAST_CHANCE:.0%} nobody is sent for plugs, nor where they would cost more than they could save"


def _grows(night: Night, zone: str) -> bool:
    if "growing" not in night.outlook:
        return False
    return float(night.outlook["growing"].sel(zone=zone, day=night.tonight)) >= GROWS


def _new_damage(night: Night, zone: str) -> bool:
    known = night.outlook["evidence_until"].sel(zone=zone).to_numpy()
    if np.isnat(known):
        return True
    day = known.astype("datetime64[D]")
    if day not in night.outlook["day"].to_numpy().astype("datetime64[D]"):
        return True
    dead = night.outlook["dead_share"].sel(zone=zone)
    return float(dead.sel(day=night.tonight) - dead.sel(day=day)) >= NEW_DAMAGE
