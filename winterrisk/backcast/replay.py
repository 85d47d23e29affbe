"""A whole winter on all that is known: days, harm, and how likely how much of each zone is dead by spring."""

import datetime as dt
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk import hazards, risk
from winterrisk.book import Record, course_values
from winterrisk.calibration.remembered import SPRING_DAY
from winterrisk.column.members import Members, members
from winterrisk.column.zones import zones_days
from winterrisk.course import day_start, replay_start, winter_start
from winterrisk.nightly import Settings, Work, zone_events
from winterrisk.thresholds import Draws
from winterrisk.weather.possible import possible

REPLAYED: Final = Settings(n_ground=4, n_paths=5, n_draws=200)
"""Members and draws of a winter replayed whole (judged: rain at other hours in each path, four grounds)."""


@dataclass(frozen=True)
class Replay:
    """A winter replayed: winter_days and harm (day, zone, member), the outlook of its last day, the members
    and the threshold draws."""

    winter: str
    winter_days: xr.Dataset
    harm: xr.Dataset
    outlook: xr.Dataset
    members: Members
    draws: Draws


def replay(work: Work, weather: xr.Dataset, winter: str) -> Replay:
    """A winter from 1 August to 15 May, or to the end of the record, with all that is known today.

    Nothing of it is what a night could have known: gaps are filled in every path, hours are never cut.

    Args:
        work: course, thresholds, book and settings; weather (time): the whole record, as
            `weather.complete` gives it.
    """
    course, settings, key = work.course, work.settings, (work.course.id, winter)
    spring = dt.date(winter_start(winter).year + 1, *SPRING_DAY)
    begins = _hour(day_start(replay_start(winter), course.timezone))
    ends = _hour(day_start(spring + dt.timedelta(days=1), course.timezone))
    times = weather["time"].to_numpy()
    there = weather.isel(time=np.flatnonzero((times >= begins) & (times < ends)))
    until = there["time"].to_numpy()[-1] + np.timedelta64(1, "h")
    paths = possible(there, past=weather, members=settings.n_paths, key=key, until=until, now=until)
    several = members(paths, settings.n_ground, key, work.thresholds)
    record = of_winter(work.record, begins, ends, winter)
    own = replace(work, record=record)
    days, _ = zones_days(paths, course, zone_events(own, until), several, zones=work.zones)
    turf = course.turf().sel(zone=list(work.zones))
    harm = hazards.run(days, turf, several.traits)
    draws = work.chance_draws(winter)
    known = risk.known(
        harm, draws, record.plugs, record.looks, record.surveys, batches=record.batches, share=turf["share"],
        base=several.weight, used=work.thresholds.used, values=course_values(course, work.thresholds.values),
    )  # fmt: skip
    last = days["day"].to_numpy()[-1].astype("datetime64[D]")
    outlook = risk.outlook(harm, days, course, draws, known, days=[last])
    return Replay(winter, days, harm, outlook, several, draws)


def of_winter(record: Record, begins: np.datetime64, ends: np.datetime64, winter: str) -> Record:
    """The part of the book that speaks of one winter: evidence of other winters says nothing of its dead turf."""
    first, last = pd.Timestamp(begins), pd.Timestamp(ends)
    plugs = record.plugs[(record.plugs["cut"] >= first) & (record.plugs["cut"] < last)]
    seen = record.observations
    return replace(
        record,
        plugs=plugs,
        looks=record.looks[record.looks["plug"].isin(plugs["id"])],
        surveys=record.surveys[record.surveys["winter"] == winter],
        observations=seen[(seen["time"] >= first) & (seen["time"] < last)],
    )


def _hour(time: np.datetime64) -> np.datetime64:
    return np.datetime64(time.astype("datetime64[h]"), "ns")
