"""What a verdict says in plain words."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from winterrisk.plugs.likelihood import GROWS_FROM_ABOVE_CROWNS
from winterrisk.plugs.readings import Readings
from winterrisk.science.day_words import day_month
from winterrisk.thresholds import LABELS

if TYPE_CHECKING:
    from winterrisk.plugs.verdicts import Verdict


def local_day(time: np.datetime64, zone: ZoneInfo) -> str:
    """A day as people write it: "4 Feb"."""
    local = datetime.fromtimestamp(int(time.astype("datetime64[s]").astype(np.int64)), UTC).astimezone(zone)
    return day_month(local)


def _seen(reading: Readings) -> str:
    if not len(reading.green):
        return "not looked at yet"
    if not reading.green.any():
        return f"no new growth by day {reading.day[-1]:.0f} in the warm"
    first = f"green from day {reading.day[reading.first_green or 0]:.0f}"
    return first if np.isnan(reading.strongest) else f"{first}, up to {reading.strongest:.0%} new growth"


def _early(item: Verdict, reading: Readings, crowns: str, on: np.datetime64, zone: ZoneInfo) -> str:
    seen = _seen(reading)
    if reading.green.any():
        return f"too early to say: {seen}; look again on {local_day(item.due, zone)}"
    if crowns == "no" and item.species not in GROWS_FROM_ABOVE_CROWNS:
        return "cut above the crowns: that it stays brown says nothing; cut another"
    if np.isnat(item.due):
        return f"too early to say: {seen}; the room is too cold to tell, move it somewhere warm"
    if not item.too_few:
        return f"too early to say: {seen}; due {local_day(item.due, zone)}"
    if item.due > on:
        day = local_day(item.due, zone)
        return f"too early to say: {seen}; time is up {day}, brown even then means pull more"
    number = "one plug" if item.together == 1 else f"{item.together} plugs"
    return f"cannot be called dead from {number}: {seen}; pull more"


def verdict_words(
    item: Verdict, reading: Readings, crowns: str, by_control: bool, on: np.datetime64, zone: ZoneInfo
) -> str:
    """One line on a plug: the state, what was seen, and what to do or wait for.

    Args:
        reading: what its looks read. crowns: "yes", "no", "unknown". by_control: the control stayed brown.
        on: UTC. zone: for the dates.
    """
    grass = "" if item.species == "all" else f"{LABELS[item.species]}: "
    if item.state == "void":
        why = "its control stayed brown" if by_control else "the batch was thrown out"
        return f"{grass}void: {why}; it proves nothing, cut again"
    if item.state in ("alive", "dead"):
        return f"{grass}{item.state}: {_seen(reading)}"
    return f"{grass}{_early(item, reading, crowns, on, zone)}"
