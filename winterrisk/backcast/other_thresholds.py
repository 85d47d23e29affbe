"""What other thresholds would have said of a winter, against what the spring survey found."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from types import MappingProxyType
from typing import Any, Final

import numpy as np
import xarray as xr

from winterrisk import risk
from winterrisk.backcast.replay import Replay
from winterrisk.calibration.warning_score import score, score_counts
from winterrisk.course import Course, winter_start
from winterrisk.sampling.pull_call import LEAST_CHANCE
from winterrisk.thresholds import TABLE, Thresholds

Row = dict[str, Any]

FIRST, EVERY = (11, 1), 7
"""First day looked at, and days from one to the next (judged)."""
N_DRAWS: Final = 200
BAND: Final = "parts"
HARDER: Final = {"ice_multiplier": 1.0, "cold_offset": -1.0}
"""Rows that say how much turf stands, and the direction in which it stands more."""


@dataclass(frozen=True)
class Rival:
    """Thresholds with the name they go by in the table."""

    name: str
    thresholds: Thresholds


def rivals(current: Thresholds) -> list[Rival]:
    """The course's thresholds, the defaults where they differ, and turf one prior spread harder and softer.

    Harder or softer: the ice multipliers and the cold offset moved by one standard deviation of their prior, all at
    once.
    """
    defaults = Thresholds.defaults()
    found = [Rival("as they are now", current)]
    if defaults.values != current.values:
        found.append(Rival("the defaults", defaults))
    return [*found, Rival("harder turf", moved(current, 1.0)), Rival("softer turf", moved(current, -1.0))]


def moved(thresholds: Thresholds, spreads: float) -> Thresholds:
    """The thresholds with turf made harder (positive) or softer, in standard deviations of each row's prior.

    Values beyond a row's range stop at its end.
    """

    def shifted(key: str, value: Any) -> Any:
        row = TABLE[key]
        way = HARDER.get(row.name)
        if way is None or row.sd is None:
            return value
        return np.clip(row.from_scale(row.to_scale(value) + way * spreads * row.sd), row.low, row.high)

    values = {key: float(shifted(key, value)) for key, value in thresholds.values.items()}
    joint = {key: shifted(key, drawn) for key, drawn in thresholds.joint.items()}
    return Thresholds(MappingProxyType(values), joint, "moved", thresholds.used)


def under_others(
    replayed: Replay, course: Course, current: Thresholds, zones: Sequence[Mapping[str, Any]]
) -> list[Row]:
    """One row a rival: name, scores (zones by score), warned (zones), lead (median days before the survey), first
    (zone and day), highest (chance by zone).

    A zone counts as warned from the first day on which it was at least 15 % likely that over a quarter was dead
    already, the least chance at which plugs are called. Told by weather and sightings alone, with the weather that
    came: neither plugs, nor messages held back, nor what a night could not know. So this compares thresholds with
    each other, not with the calls of the season.

    Args:
        zones: records of the season's zones (zone, survey, treated).
    """
    days = replayed.winter_days["day"].to_numpy().astype("datetime64[D]")
    looked = list(days[days >= np.datetime64(dt.date(winter_start(replayed.winter).year, *FIRST))][::EVERY])
    rows = []
    for rival in rivals(current):
        draws = rival.thresholds.draw(N_DRAWS, (course.id, replayed.winter), "chance")
        outlook = risk.outlook(
            replayed.harm, replayed.winter_days, course, draws, _even(replayed), days=looked
        )
        rows.append({"name": rival.name, **_scored(outlook["chance"].sel(band=BAND), zones)})
    return rows


def _even(replayed: Replay) -> xr.DataArray:
    """Every draw alike: no plug and no survey speaks."""
    zones, weight = replayed.winter_days["zone"], replayed.members.weight
    table = np.broadcast_to(weight[None, :, None] / N_DRAWS, (len(zones), len(weight), N_DRAWS))
    return xr.DataArray(table, dims=("zone", "member", "draw"), coords={"zone": zones})


def _scored(chance: xr.DataArray, zones: Sequence[Mapping[str, Any]]) -> Row:
    scores, leads, firsts = [], [], []
    highest = {}
    for zone in zones:
        there = chance.sel(zone=zone["zone"])
        survey = zone["survey"]
        by = np.datetime64(survey["date"] if survey else there["day"].to_numpy()[-1], "D")
        before = there.sel(day=slice(None, by.astype("datetime64[ns]")))
        reached = before["day"].to_numpy()[before.to_numpy() >= LEAST_CHANCE].astype("datetime64[D]")
        highest[zone["zone"]] = round(float(before.max()), 4)
        scores.append(score(survey, warned=bool(len(reached)), judged=True, treated=bool(zone["treated"])))
        if len(reached):
            firsts.append((str(reached[0]), zone["zone"]))
            if scores[-1] == "hit":
                leads.append(int((by - reached[0]).astype(int)))
    return {
        "scores": score_counts(scores),
        "warned": len(firsts),
        "lead": median(leads) if leads else None,
        "first": list(min(firsts)) if firsts else None,
        "highest": highest,
    }
