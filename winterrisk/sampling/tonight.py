"""What is known tonight: of the night as a whole, and of each zone, before anything is called."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import Course, speaks_for, winter_of
from winterrisk.course.zone_view import ZoneView
from winterrisk.sampling.answers import possible
from winterrisk.sampling.pull_day import VERDICT_DAYS
from winterrisk.sampling.question import Question, questions
from winterrisk.sampling.value import Stakes
from winterrisk.sampling.worth import LOOK_MINUTES, Ahead, Round, best_round, look_worth

ICE_KINDS = ("ice_seen", "no_ice", "ice_from", "ice_removed", "ice_broken", "water_seen", "water_removed")
"""Notes that tell whether there is ice."""
Chance = tuple[float, float, float]
"""A chance and its two ends [1]."""


@dataclass(frozen=True)
class Night:
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
    told: Mapping[tuple[str, np.datetime64], Chance]

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

    def ranges(self, zone: str, day: np.datetime64) -> Chance:
        """Chance that more than a quarter of a zone is dead by a day of the outlook, and its two ends [1]."""
        return self.told[zone, np.datetime64(day, "D")]

    def frost_night(self, zone: str) -> dt.date | None:
        """The date that did most to a zone by frost, where the outlook tells it."""
        if "frost_night" not in self.outlook:
            return None
        worst = self.outlook["frost_night"].sel(zone=zone, day=self.tonight).to_numpy()
        return pd.Timestamp(worst[()]).date()

    @property
    def cost_of_a_look(self) -> float:
        """What five minutes on a green cost [currency]."""
        return self.stakes.trip * LOOK_MINUTES / 60.0

    def part_of(self, zone: str, causes: tuple[str, ...]) -> float:
        """The part that some hazards have of the harm done to a zone [1]."""
        share = self.outlook["share_by_hazard"].sel(zone=zone, day=self.tonight)
        return float(share.isel(hazard=share["hazard"].isin(causes)).sum() / max(float(share.sum()), 1e-9))

    @property
    def open(self) -> bool:
        """Whether the course is open."""
        return self.on >= self.course.calendar.on("opening", winter_of(self.on))


@dataclass(frozen=True)
class ZoneTonight:
    """What is known of one zone tonight."""

    view: ZoneView
    stakes: Stakes
    question: Question
    look: float
    round: Round
    chance: float
    looked: int | None


def chances_told(outlook: xr.Dataset) -> dict[tuple[str, np.datetime64], Chance]:
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


def zone_tonight(night: Night, zone: str, view: ZoneView) -> ZoneTonight:
    """What is known of one zone: its stakes, the best question, the best round of plugs, its chance, its last look."""
    stakes = replace(night.stakes.of_share(view.share), trip=0.0)
    asked = questions(night.outlook, zone, night.tonight, night.until)
    here = possible(night.outlook, zone, night.days)
    worths = [look_worth(here, question, night.ahead, stakes) - night.cost_of_a_look for question in asked]
    best = int(np.argmax(worths))
    return ZoneTonight(
        view, stakes, asked[best], worths[best], best_round(here, night.ahead, stakes),
        night.ranges(zone, night.tonight)[0], days_since_look(night, zone),
    )  # fmt: skip


def days_since_look(night: Night, zone: str) -> int | None:
    """Days since somebody told whether there is ice: by a note that holds for the zone, or by a plug's ice."""
    cut = night.plugs
    times = times_noted(night, zone, ICE_KINDS)
    if "ice_mm" in cut:
        times += list(cut["cut"][(cut["zone"] == zone) & cut["ice_mm"].notna()])
    if not times:
        return None
    return (pd.Timestamp(night.on) - pd.Timestamp(max(times)).normalize()).days


def times_noted(night: Night, zone: str, kinds: tuple[str, ...]) -> list[pd.Timestamp]:
    """When somebody noted something of these kinds that holds for a zone."""
    seen = night.observations
    return list(seen["time"][speaks_for(seen, zone) & seen["kind"].isin(kinds)]) if len(seen) else []
