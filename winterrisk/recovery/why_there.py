"""Why there: each hurt zone's winter replayed with one thing changed, ranked by what it would have meant."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk import hazards, risk
from winterrisk.column.members import Members
from winterrisk.column.zones import zones_days
from winterrisk.course import Course, night_instant
from winterrisk.recovery.changes import (
    Change,
    cleared,
    covered,
    not_banked,
    standing_changes,
    without_sightings,
)
from winterrisk.sampling.question import ICE_SEEN
from winterrisk.science.weighted import weighted_median, weighted_quantiles
from winterrisk.thresholds import Draws

Array = NDArray[np.float64]
LONG_ICE: Final = 30.0
"""Days under ice at which clearing is thought of [d] (published advice for annual bluegrass: 30 to 45 days)."""
SOME_ICE: Final = 10.0
"""Longest spell below which clearing is not replayed [d] (judged)."""
FROZEN_DAYS: Final = 3
"""Days of frozen crowns before a cover is laid in a replay [d] (judged)."""
TELLS: Final = (0.10, 0.90)
UNEXPLAINED: Final = (
    "the weather alone does not make the ice that was seen there: what is told of ice is too little"
)


@dataclass(frozen=True)
class _Replayed:
    """Winter days of one zone (day, member), chance of each pair and expected dead share (member, draw)."""

    days: xr.Dataset
    chance: Array
    dead: Array

    @property
    def longest_ice(self) -> Array:
        """Longest spell under ice (member) [d]."""
        return np.asarray(self.days["days_under_ice"].max("day"), dtype=np.float64)


@dataclass
class _Zone:
    """Replays of one zone; those without a change are kept by the day from which sightings are left out."""

    label: str
    course: Course
    weather: xr.Dataset
    events: pd.DataFrame
    several: Members
    weight: Array
    draws: Draws
    until: np.datetime64
    bases: dict[str, _Replayed] = field(default_factory=dict)

    def replayed(self, course: Course, events: pd.DataFrame) -> _Replayed:
        days, _ = zones_days(
            self.weather, course, {self.label: events}, self.several, zones=(self.label,), until=self.until
        )
        turf = course.turf().sel(zone=[self.label])
        harm = hazards.run(days, turf, self.several.traits)
        last = days["day"].to_numpy()[-1]
        outlook = risk.outlook(harm, days, course, self.draws, days=[last])
        dead = outlook["expected"].isel(day=0, zone=0).to_numpy().astype(np.float64)
        chance = outlook["harmed"].isel(day=0, zone=0).to_numpy().astype(np.float64)
        return _Replayed(days.isel(zone=0), chance, dead)

    def as_it_was(self, begins: np.datetime64 | None) -> _Replayed:
        """The winter unchanged, with sightings left out from the day a change begins: what it is held against."""
        key = str(begins)
        if key not in self.bases:
            self.bases[key] = self.replayed(self.course, without_sightings(self.events, begins))
        return self.bases[key]

    def effect(self, change: Change) -> dict[str, Any]:
        """What a change would have meant, pair by pair: same weather, same draws."""
        base = self.as_it_was(change.begins)
        changed = self.replayed(change.course, change.events(without_sightings(self.events, change.begins)))
        by_member = self.weight.sum(axis=1)
        ice = changed.longest_ice - base.longest_ice
        return {
            "zone": self.label,
            "change": change.name,
            "words": change.words,
            "ice_days": _over_members(ice, by_member),
            "chance": _over_draws(changed.chance - base.chance, self.weight),
            "dead": _over_draws(changed.dead - base.dead, self.weight),
            "chance_as_it_was": float((base.chance * self.weight).sum() / self.weight.sum()),
            "note": UNEXPLAINED if change.begins is None and self._ice_missed(base) else "",
        }

    def _ice_missed(self, base: _Replayed) -> bool:
        """Whether the replay without sightings lacks the ice that people saw, by half of the weight."""
        seen = self.events[self.events["kind"] == "ice_seen"]["time"].to_numpy().astype("datetime64[D]")
        days = base.days["day"].to_numpy().astype("datetime64[D]")
        there = np.isin(days, np.unique(seen))
        if not there.any():
            return False
        ice = base.days["ice_thickness_max"].transpose("day", "member").to_numpy()[there] >= ICE_SEEN
        by_member = self.weight.sum(axis=1)
        return bool((ice.mean(axis=0) * by_member).sum() / by_member.sum() < 0.5)


def why_there(
    course: Course,
    weather: xr.Dataset,
    events: Mapping[str, pd.DataFrame],
    several: Members,
    weight: xr.DataArray,
    draws: Draws,
    *,
    zones: Sequence[str],
    on: dt.date,
    clear_on: dt.date | None = None,
) -> tuple[dict[str, Any], ...]:
    """What one change would have meant in each zone up to a date; within a zone what helps most first.

    Both winters of a comparison have the same weather, the same draws and the weights that the evidence gave
    them; what people saw is left out of both from the day the change begins, since it was seen in another winter.

    Args:
        weather (time, member): paths of the night. events: zone -> what was seen and done.
        several: members of the night; weight (zone, member, draw): after the evidence; draws: of the chances.
        zones: labels, in the order wanted. on: date; its night ends the replay. clear_on: day of the clearing.
    Returns:
        Rows: zone, change, words, note, chance_as_it_was [1], and changes with middle, low and high: ice_days
        (longest spell [d]), chance (that more than a quarter is dead [1]), dead (expected dead share [1]).
    """
    until = np.datetime64(night_instant(on, course.timezone), "h")
    rows: list[dict[str, Any]] = []
    for label in zones:
        zone = _Zone(
            label, course, weather, events[label], several, weight.sel(zone=label).to_numpy(), draws, until
        )
        found = [zone.effect(change) for change in _changes(zone, on, clear_on)]
        rows += sorted(found, key=lambda row: row["chance"]["middle"])
    return tuple(rows)


def _changes(zone: _Zone, on: dt.date, clear_on: dt.date | None) -> list[Change]:
    course, label = zone.course, zone.label
    found = list(standing_changes(course, label))
    base = zone.as_it_was(None)
    seen = zone.replayed(course, zone.events) if len(zone.events) else base
    day = clear_on or _clearing_day(seen, zone.weight.sum(axis=1))
    if day is not None and day < on:
        found.append(cleared(course, label, day))
    frozen = _frozen_from(base, zone.weight.sum(axis=1))
    if frozen is not None and frozen < on and not (zone.events["kind"] == "cover_on").any():
        found.append(covered(course, label, frozen))
    banked = not_banked(course, zone.events)
    return [*found, banked] if banked is not None else found


def _clearing_day(replayed: _Replayed, weight: Array) -> dt.date | None:
    """The day on which half of the weight has been 30 days under ice, else the middle of the longest spell."""
    ice = replayed.days["days_under_ice"].transpose("day", "member").to_numpy()
    days = replayed.days["day"].to_numpy().astype("datetime64[D]")
    half = np.array([weighted_median(row, weight) for row in ice])
    if half.max() < SOME_ICE:
        return None
    at = int(np.argmax(half >= LONG_ICE)) if half.max() >= LONG_ICE else int(np.argmax(half))
    middle = at if half.max() >= LONG_ICE else at - int(half[at] / 2)
    return days[middle].astype(dt.date)


def _frozen_from(replayed: _Replayed, weight: Array) -> dt.date | None:
    """The third day in a row, from November on, on which the crowns of half the weight stayed frozen."""
    warmest = replayed.days["crown_temperature_max"].transpose("day", "member").to_numpy()
    days = replayed.days["day"].to_numpy().astype("datetime64[D]")
    run = 0
    for day, row in zip(days, warmest, strict=True):
        frozen = weighted_median(row, weight) < 0.0 and day.astype(dt.date).month in (11, 12, 1, 2, 3)
        run = run + 1 if frozen else 0
        if run >= FROZEN_DAYS:
            return day.astype(dt.date)
    return None


def _over_members(difference: Array, weight: Array) -> dict[str, float]:
    """Weighted mean of a difference (member), and its 10 and 90 %."""
    low, high = weighted_quantiles(difference, weight, TELLS)
    middle = float((difference * weight).sum() / weight.sum())
    return {"middle": middle, "low": min(low, middle), "high": max(high, middle)}


def _over_draws(difference: Array, weight: Array) -> dict[str, float]:
    """Weighted mean of a difference (member, draw), and its 10 and 90 % over draws of the mean over members."""
    per_draw = weight.sum(axis=0)
    keep = per_draw > 0
    mean = (difference * weight).sum(axis=0)[keep] / per_draw[keep]
    low, high = weighted_quantiles(mean, per_draw[keep], TELLS)
    middle = float((difference * weight).sum() / weight.sum())
    return {"middle": middle, "low": min(low, middle), "high": max(high, middle)}
