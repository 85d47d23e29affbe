"""What a season's report needs the winter replayed for: what it cost, other thresholds, and past winters beside it."""

import datetime as dt
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from winterrisk import spring
from winterrisk.backcast.all_winters import whole_record
from winterrisk.backcast.nights import read_work
from winterrisk.backcast.on_record import on_record
from winterrisk.backcast.other_thresholds import under_others
from winterrisk.backcast.replay import Replay, replay
from winterrisk.course import Course, read_course, winter_end
from winterrisk.nightly import Settings, Tell
from winterrisk.recovery import Plan
from winterrisk.recovery.playable import first_fit, fit_days
from winterrisk.reports.season_cost import GREEN, cost_record
from winterrisk.reports.season_winters import weather_of_winters
from winterrisk.science.faults import Refused

Row = dict[str, Any]

MEMBERS = Settings(n_ground=3, n_paths=3)
"""Possible winters of the replay (judged: thresholds are compared on the same ones, so few will do)."""
LEFT_OUT = "left out: the report was made with --quick"


def season_replays(folder: Path, season: Mapping[str, Any], tell: Tell = lambda line: None) -> Row:
    """cost, others (what other thresholds would have said) and winters (weather of each on record) of a season.

    Where a replay is refused its reason stands in `cost["why"]` and `not_replayed`, and the rest is told all the same.

    Args:
        season: the record of `season_record`.
    """
    winter, zones = str(season["winter"]), season["zones"]
    rounds = [row for zone in zones for row in zone["plugs"]]
    try:
        work = read_work(folder, MEMBERS)
        end = np.datetime64(pd.Timestamp(work.weather.span[1]), "s") + np.timedelta64(2, "D")
        whole = whole_record(work.weather, work.course.id, end)
        found = {w.winter: w for w in on_record(whole, work.course)}
        winters = weather_of_winters(whole, list(found), work.course.timezone)
    except Refused as fault:
        return without_replays(read_course(folder), season, _said(fault, folder))
    there = found.get(winter)
    if there is None or not there.in_time:
        why = there.why if there else f"the station's record has nothing of {winter}"
        return {**without_replays(work.course, season, why), "winters": winters}
    replayed = replay(work, whole, winter)
    plan, why = _plan(folder, season, tell)
    return {
        "winters": winters,
        "others": under_others(replayed, work.course, work.thresholds, zones),
        "not_replayed": there.why,
        "cost": cost_record(
            work.course,
            winter,
            fit_from=_fit_from(replayed, work.course, winter),
            plan=plan,
            plugs=rounds,
            why=why,
        ),
    }


def without_replays(course: Course, season: Mapping[str, Any], why: str) -> Row:
    """The same keys where nothing is replayed: what the plugs cost, and why the rest is not told."""
    rounds = [row for zone in season["zones"] for row in zone["plugs"]]
    cost = cost_record(course, str(season["winter"]), fit_from=None, plan=None, plugs=rounds, why=why)
    return {"winters": [], "others": [], "not_replayed": why, "cost": cost}


def _said(fault: Refused, folder: Path) -> str:
    """The fault without where the course folder lies: a copy elsewhere says the same."""
    return str(fault).replace(f"{folder}{os.sep}", "").rstrip(".")


def _plan(folder: Path, season: Mapping[str, Any], tell: Tell) -> tuple[Plan | None, str]:
    """The plan of the day after the last survey, or why there is none."""
    dates = [zone["survey"]["date"] for zone in season["zones"] if zone["survey"]]
    if not dates:
        return None, "no spring survey: how much turf was dead nobody has said"
    on = dt.date.fromisoformat(max(dates)) + dt.timedelta(days=1)
    last = winter_end(str(season["winter"])) - dt.timedelta(days=1)
    try:
        return spring.plan_of(spring.replay(folder, min(on, last), tell=tell)), ""
    except Refused as fault:
        return None, _said(fault, folder)


def _fit_from(replayed: Replay, course: Course, winter: str) -> dt.date | None:
    """First day, from the planned opening, on which every zone of the greens was fit for play."""
    greens = [v.label for v in course.zones() if v.kind == GREEN] or [v.label for v in course.zones()]
    days = replayed.winter_days["day"].to_numpy().astype("datetime64[D]")
    fit = fit_days(replayed.winter_days.sel(zone=greens), replayed.members.weight)
    opening = np.datetime64(course.calendar.on("opening", winter), "D")
    found = first_fit(fit.all(axis=1), days, opening)
    return None if found is None else found.astype(dt.date)
