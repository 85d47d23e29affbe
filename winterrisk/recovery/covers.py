"""Covers as they lie: since when, on frozen ground or not, aired when, and what the gas beneath says."""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.column.events import cover_named, cover_seals
from winterrisk.course import local_days

AIRED: Final = ("vented", "cover_opened")
NOT_FROZEN: Final = 0.5
"""Share of the possible winters with frozen ground below which it counts as not frozen [1] (judged)."""


@dataclass(frozen=True)
class CoverSpell:
    """A cover that lies on a zone.

    kind: permeable, impermeable, insulated or straw; sealed: whether it shuts off the air. since: day it was laid.
    frozen [1]: share of the possible winters in which the ground was frozen then; None where the day lies outside
    them. aired: last day it was aired or opened, None where never. due: day by which to air it, None where it lets
    air through. oxygen, carbon_dioxide [%]: last reading since it was laid and last aired, None where there is none.
    """

    zone: str
    kind: str
    sealed: bool
    since: dt.date
    frozen: float | None
    aired: dt.date | None
    due: dt.date | None
    oxygen: float | None
    carbon_dioxide: float | None

    @property
    def on_unfrozen_ground(self) -> bool:
        """Whether it most likely went on before the ground was frozen."""
        return self.frozen is not None and self.frozen < NOT_FROZEN

    def foul(self, values: Mapping[str, float]) -> bool:
        """Whether the last reading asks for air at once."""
        low = self.oxygen is not None and self.oxygen < values["vent_oxygen"]
        high = self.carbon_dioxide is not None and self.carbon_dioxide > values["vent_carbon_dioxide"]
        return low or high


def covers_lying(
    events: Mapping[str, pd.DataFrame],
    winter_days: xr.Dataset,
    now: np.datetime64,
    timezone: str,
    values: Mapping[str, float],
    weight: NDArray[np.float64] | None = None,
) -> tuple[CoverSpell, ...]:
    """The covers that lie on a course at `now`, zone by zone.

    Args:
        events: zone -> what was seen and done there, times UTC. winter_days (day, zone, member): of this winter.
        now: UTC. timezone: of the course. values: of the table of thresholds. weight (member): equal when left out.
    """
    found = []
    begins = pd.Timestamp(winter_days["day"].to_numpy()[0])
    for zone, rows in events.items():
        known = rows[(rows["time"] <= pd.Timestamp(now)) & (rows["time"] >= begins)]
        last = last_laid(known)
        if last is None or (known.loc[last.name :, "kind"] == "cover_off").any():
            continue
        since = _day(last["time"], timezone)
        after = known[known["time"] >= last["time"]]
        aired = after[after["kind"].isin(AIRED)]["time"]
        air = _day(aired.max(), timezone) if len(aired) else None
        sealed = cover_seals(str(last["detail"]))
        due = (air or since) + dt.timedelta(days=round(values["vent_days"])) if sealed else None
        oxygen, carbon = _gas(after[after["time"] >= aired.max()] if len(aired) else after)
        frozen = _frozen(winter_days, zone, since, weight, values["crown_freezing"])
        kind = cover_named(str(last["detail"]))
        found.append(CoverSpell(zone, kind, sealed, since, frozen, air, due, oxygen, carbon))
    return tuple(found)


def last_laid(events: pd.DataFrame) -> pd.Series | None:
    """The row with which the cover that lies, or lay last, was laid; None where none was.

    "Cover on" again under a cover of the same kind is that cover, laid when it was.

    Args:
        events: of one zone, in order of time, with the kind of each cover.
    """
    last, lies = None, False
    for _, row in events[events["kind"].isin(("cover_on", "cover_off"))].iterrows():
        if row["kind"] == "cover_off":
            lies = False
        elif not lies or cover_named(str(row["detail"])) != cover_named(str(last["detail"])):
            last, lies = row, True
    return last


def _day(time: pd.Timestamp, timezone: str) -> dt.date:
    return local_days([time.to_datetime64()], timezone)[0].astype(dt.date)


def _gas(rows: pd.DataFrame) -> tuple[float | None, float | None]:
    """Oxygen and carbon dioxide [%] of the last reading."""
    seen = rows[rows["kind"] == "gas_seen"]
    if seen.empty:
        return None, None
    row = seen.iloc[-1]
    number = re.search(r"\d+(?:\.\d+)?", str(row["detail"]))
    oxygen = None if pd.isna(row["value"]) else float(row["value"])
    return oxygen, float(number[0]) if number else None


def _frozen(
    winter_days: xr.Dataset, zone: str, day: dt.date, weight: NDArray[np.float64] | None, freezing: float
) -> float | None:
    """Share of the winters whose crowns were, in the mean of a day, below their freezing point [degC]."""
    days = winter_days["day"].to_numpy().astype("datetime64[D]")
    there = np.flatnonzero(days == np.datetime64(day, "D"))
    if not len(there):
        return None
    crown = winter_days["crown_temperature_mean"].sel(zone=zone).isel(day=int(there[0])).to_numpy()
    return float(np.average(crown < freezing, weights=weight))
