"""What people in the field would have found: ice or none, and plugs that green up or do not."""

from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import pandas as pd

from winterrisk.sampling.question import ICE_SEEN
from winterrisk.sampling.value import chance_after_plugs
from winterrisk.science.keyed import KeyPart, generator
from winterrisk.simulation.truth import Truth

LOOK_DAYS: Final = (5, 7, 10, 14)
"""Days after the cut on which plugs are looked at (common practice)."""
WRONG_LOOK: Final = 0.05
"""Chance that a look at the ice is wrong [1] (the study's rule)."""
NOON: Final = np.timedelta64(18, "h")
"""UTC hour of field work after the day's midnight UTC."""
TOLD: Final = 10
"""Day after the cut on which a round is told (common practice)."""
EVEN, TOLD_ABOVE = 0.25, 0.5
"""A round tells of harm where its plugs alone take a chance of a quarter above a half (the same for every policy)."""
PLUG_COLUMNS: Final = ("id", "area", "zone", "spot", "cut", "crowns", "control", "batch", "ice_mm")
SEEN_COLUMNS: Final = (
    "time",
    "until",
    "area",
    "zone",
    "kind",
    "value",
    "unit",
    "share",
    "detail",
    "who",
    "known",
)


@dataclass
class Field:
    """The book of one policy in one winter: rows of looks at the ice, of plugs and of looks at them.

    known: zone -> day on which its damage was told by plugs; trips: days somebody went for plugs.
    """

    truth: Truth
    key: tuple[KeyPart, ...]
    seen: list[dict[str, Any]] = field(default_factory=list)
    plugs: list[dict[str, Any]] = field(default_factory=list)
    looks: list[dict[str, Any]] = field(default_factory=list)
    known: dict[str, np.datetime64] = field(default_factory=dict)
    trips: set[np.datetime64] = field(default_factory=set)
    rounds: list[tuple[np.datetime64, str, int, int]] = field(default_factory=list)

    def look(self, zone: str, day: np.datetime64) -> None:
        """Somebody looks whether there is ice, about noon."""
        z = self.truth.zones.index(zone)
        ice = float(self.truth.ice[self.truth.at(day), z])
        wrong = generator(*self.key, "look", zone, str(day)).random() < WRONG_LOOK
        there = (ice >= ICE_SEEN) != wrong
        time = np.datetime64(day, "s") + NOON
        self.seen.append(
            {
                "time": time, "until": np.datetime64("NaT", "s"), "area": zone.rsplit(" ", 1)[0], "zone": zone,
                "kind": "ice_seen" if there else "no_ice", "value": max(ice, 6.0) if there else np.nan,
                "unit": "mm", "share": 1.0, "detail": "", "who": "crew", "known": time,
            }
        )  # fmt: skip

    def pull(self, zone: str, day: np.datetime64, number: int) -> None:
        """A round of plugs about noon, with a control that lives, looked at on the days of practice."""
        truth, room = self.truth, self.truth.room
        place = min(truth.at(day), len(truth.days) - 1)
        share = float(np.clip(truth.dead[place, truth.zones.index(zone)], 1e-4, 1 - 1e-4))
        rng = generator(*self.key, "plugs", zone, str(day))
        size = 1.0 / room.likeness - 1.0
        here = rng.beta(share * size, (1.0 - share) * size)
        dead = rng.random(number) < here
        cut = np.datetime64(day, "s") + NOON
        batch = f"{zone} {day}"
        up = room.median * np.exp(room.spread * rng.standard_normal(number + 1))
        brown = rng.random(number + 1) < room.live_brown
        stained = rng.random(number + 1) < room.dead_green
        hurt = 0
        for i in range(number + 1):
            control = i == number
            name = f"{batch} {'control' if control else i}"
            self.plugs.append(
                {
                    "id": name, "area": zone.rsplit(" ", 1)[0], "zone": zone, "spot": f"{day} {i}", "cut": cut,
                    "crowns": "yes", "control": control, "batch": batch, "ice_mm": np.nan,
                }
            )  # fmt: skip
            gone = not control and bool(dead[i])
            green = np.inf if brown[i] and not control else up[i]
            greens_on = (LOOK_DAYS[1] if stained[i] else np.inf) if gone else green
            for after in LOOK_DAYS:
                self.looks.append(
                    {
                        "plug": name, "time": cut + np.timedelta64(after, "D"), "species": "all",
                        "new_growth": 0.5 if after >= greens_on else 0.0, "colour": "", "smell": "",
                        "who": "crew", "known": cut + np.timedelta64(after, "D"),
                    }
                )  # fmt: skip
            hurt += not control and greens_on > TOLD
        self._told(day, zone, number, hurt)

    def _told(self, day: np.datetime64, zone: str, number: int, hurt: int) -> None:
        self.trips.add(day)
        self.rounds.append((day, zone, number, hurt))
        if chance_after_plugs(EVEN, number)[hurt] > TOLD_ABOVE:
            self.known.setdefault(zone, day + np.timedelta64(TOLD, "D"))

    def first_trips(self, most: int) -> "Field":
        """The same book with the plugs of the first so many trips alone; its looks at the ice stand."""
        days = sorted(self.trips)[:most]
        kept = Field(self.truth, self.key, seen=list(self.seen))
        kept.plugs = [row for row in self.plugs if row["cut"].astype("datetime64[D]") in days]
        names = {row["id"] for row in kept.plugs}
        kept.looks = [row for row in self.looks if row["plug"] in names]
        for told in self.rounds:
            if told[0] in days:
                kept._told(*told)
        return kept

    def tables(self, by: np.datetime64) -> dict[str, pd.DataFrame]:
        """Observations, plugs and looks known by an instant (UTC)."""
        limit = pd.Timestamp(by)
        seen = pd.DataFrame(self.seen, columns=list(SEEN_COLUMNS))
        plugs = pd.DataFrame(self.plugs, columns=list(PLUG_COLUMNS))
        looks = pd.DataFrame(
            self.looks, columns=["plug", "time", "species", "new_growth", "colour", "smell", "who", "known"]
        )
        return {
            "observations": _typed(seen, "time")[lambda t: t["time"] <= limit],
            "plugs": _typed(plugs, "cut")[lambda t: t["cut"] <= limit],
            "looks": _typed(looks, "time")[lambda t: t["time"] <= limit],
        }


def _typed(table: pd.DataFrame, time: str) -> pd.DataFrame:
    for name in (time, "until", "known"):
        if name in table:
            table[name] = pd.to_datetime(table[name]).astype("datetime64[s]")
    return table
