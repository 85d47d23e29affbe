"""How much of each zone is dead, and who says so: a survey, plugs, or only the outlook."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import xarray as xr

from winterrisk.course import Course

Source = Literal["survey", "plugs", "outlook"]


@dataclass(frozen=True)
class ZoneDamage:
    """Dead share of a zone [1] with its range, and where it comes from.

    source: a spring survey, plugs that were judged, or the outlook alone; day: of the survey, the last day
    that plugs speak for, or the day the outlook is for. chance [1]: that more than a quarter is dead. so_far [1]:
    expected dead share by the night of the date itself.
    """

    zone: str
    area: str
    kind: str
    size: float
    low: float
    middle: float
    high: float
    source: Source
    day: dt.date
    chance: float
    chance_low: float
    chance_high: float
    so_far: float

    @property
    def dead_size(self) -> tuple[float, float, float]:
        """Dead area [m2]: low, middle, high."""
        return self.size * self.low, self.size * self.middle, self.size * self.high


def zone_damages(
    course: Course,
    outlook: xr.Dataset,
    surveyed: Mapping[str, Mapping[str, Any]],
    judged: Mapping[str, np.datetime64],
    tonight: dt.date,
    until: dt.date,
) -> tuple[ZoneDamage, ...]:
    """Damage of every zone of the outlook, in its order.

    A survey of the spring wins; else the outlook by `until`, which carries what plugs showed.

    Args:
        outlook: holds the days `tonight` and `until`. surveyed: zone -> {date (ISO), low, high}. judged: zone ->
            last day that judged plugs speak for.
    """
    found = []
    for zone in map(str, outlook["zone"].to_numpy()):
        view = course.zone(zone)
        there = outlook.sel(zone=zone, day=np.datetime64(until, "D"))
        parts = there.sel(band="parts")
        chance, low, high = (float(parts[n]) for n in ("chance", "chance_low", "chance_high"))
        so_far = float(outlook["dead_share"].sel(zone=zone, day=np.datetime64(tonight, "D")))
        survey = surveyed.get(zone)
        if survey is not None:
            least, most = float(survey["low"]), float(survey["high"])
            shares = (least, 0.5 * (least + most), most)
            source, day = "survey", dt.date.fromisoformat(str(survey["date"]))
        else:
            shares = tuple(float(there[n]) for n in ("dead_low", "dead_share", "dead_high"))
            source, day = "outlook", until
            if zone in judged:
                source, day = "plugs", judged[zone].astype("datetime64[D]").astype(dt.date)
        found.append(
            ZoneDamage(
                zone, view.area, view.kind, view.size, shares[0], min(max(shares[1], shares[0]), shares[2]),
                shares[2], source, day, chance, low, high, so_far,
            )  # type: ignore[arg-type]
        )  # fmt: skip
    return tuple(found)
