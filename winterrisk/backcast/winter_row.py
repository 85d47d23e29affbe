"""One winter's figures: how likely dead, ice, cold, swings, soaked freezes, snow, and why."""

from typing import Any, Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.backcast.replay import Replay
from winterrisk.backcast.worst_day import causes, worst_day
from winterrisk.course import Course
from winterrisk.sampling.question import SOAKED, WET_HOURS
from winterrisk.science.weighted import weighted_median

Array = NDArray[np.float64]

BAND: Final = "parts"
"""The chance told is that of more than a quarter dead."""
SNOW_DAY: Final = 0.025
"""Mean depth that makes a day with snow [m]: an inch, as snow observers count."""
LATELY: Final = 3
"""Days over which wet hours are summed before a soaked freeze [d] (judged, as for a look)."""


def winter_row(replayed: Replay, course: Course, soaked_kill: float) -> dict[str, Any]:
    """Figures of a winter; each of weather at the turf stands for the zone that had most of it.

    Args:
        soaked_kill [degC]: a wet crown that gets so cold froze hard.
    Returns:
        chance, low, high [1] that more than a quarter of the worst zone is dead by spring, dead_share with range
        [1]; ice_days [d] (longest spell), crown_min [degC], swings [1], soaked_freezes [d], snow_days [d], each
        with its zone; snow_first, snow_last (dates); cause, causes, worst_day; zones: chance and dead_share of
        each.
    """
    days, outlook, weight = replayed.winter_days, replayed.outlook.isel(day=-1), replayed.members.weight
    zones = [str(z) for z in days["zone"].to_numpy()]
    chance, dead = outlook["chance"].sel(band=BAND).to_numpy(), outlook["dead_share"].to_numpy()
    worst = max(range(len(zones)), key=lambda z: (chance[z], dead[z]))
    row: dict[str, Any] = {"zone": zones[worst], "chance": float(chance[worst])}
    for name, of in (("low", "chance_low"), ("high", "chance_high")):
        row[name] = float(outlook[of].sel(band=BAND).to_numpy()[worst])
    for name in ("dead_share", "dead_low", "dead_high"):
        row[name] = float(outlook[name].to_numpy()[worst])

    row["zones"] = {
        z: {"chance": float(c), "dead_share": float(d)} for z, c, d in zip(zones, chance, dead, strict=True)
    }

    def put(name: str, by_zone: Array, largest: bool = True) -> None:
        at = int(np.argmax(by_zone) if largest else np.argmin(by_zone))
        row[name], row[f"{name}_zone"] = float(by_zone[at]), zones[at] if by_zone[at] else ""

    under = _array(days, "days_under_ice").max(axis=0)
    put("ice_days", np.array([weighted_median(z, weight) for z in under]))
    put("crown_min", _array(days, "crown_temperature_min").min(axis=0) @ weight, largest=False)
    put("swings", _array(days, "swings").sum(axis=0) @ weight)
    put("soaked_freezes", soaked_freezes(days, soaked_kill).sum(axis=0) @ weight)
    depth = _array(days, "snow_depth_mean") @ weight
    put("snow_days", (depth >= SNOW_DAY).sum(axis=0).astype(float))
    lay = np.flatnonzero(depth[:, int(np.argmax((depth >= SNOW_DAY).sum(axis=0)))] >= SNOW_DAY)
    dates = days["day"].to_numpy().astype("datetime64[D]")
    row["snow_first"], row["snow_last"] = (str(dates[lay[i]]) if len(lay) else "" for i in (0, -1))
    row["snow_deepest"] = float(depth.max())
    row["until"] = str(dates[-1])
    return row | _why(replayed, course, zones[worst])


def _why(replayed: Replay, course: Course, zone: str) -> dict[str, Any]:
    """Main cause in a zone, all causes with their shares, its worst day, and what that day was like."""
    told = [(name, share) for name, share in causes(replayed, zone) if name != "background"]
    cause = told[0][0] if told else "background"
    turf = course.turf()["share"].sel(zone=zone)
    cover = {str(s): float(v) for s, v in zip(turf["species"].to_numpy(), turf.to_numpy(), strict=True)}
    day = worst_day(replayed, zone, cause, cover)
    why: dict[str, Any] = {"cause": cause, "causes": dict(told), "worst_day": "" if day is None else str(day)}
    if day is not None:
        there = replayed.winter_days.sel(zone=zone, day=slice(None, day.astype("datetime64[ns]")))
        weight = replayed.members.weight
        for name, variable in (("crown", "crown_temperature_min"), ("depth", "snow_depth_mean")):
            why[f"worst_day_{name}"] = float(_array(there, variable, "member")[-1] @ weight)
        why["worst_day_under_ice"] = weighted_median(_array(there, "days_under_ice", "member")[-1], weight)
        why["snow_on_unfrozen"] = float(
            _array(there, "hours_snow_on_unfrozen", "member").sum(axis=0) @ weight / 24.0
        )
        why["drying_days"] = float(_array(there, "drying", "member").sum(axis=0) @ weight)
    return why


def soaked_freezes(days: xr.Dataset, soaked_kill: float) -> NDArray[np.bool_]:
    """Days (day, zone, member) on which crowns that were soaked and wet within three days froze hard."""
    wet = np.cumsum(_array(days, "hours_wet"), axis=0)
    before = np.concatenate([np.zeros((LATELY + 1, *wet.shape[1:])), wet[: -(LATELY + 1)]])
    lately = wet - before
    soaked = (_array(days, "crown_water") >= SOAKED) & (lately >= WET_HOURS)
    return np.asarray(soaked & (_array(days, "crown_temperature_min") <= soaked_kill))


def _array(days: xr.Dataset, name: str, *dims: str) -> Array:
    order = ("day", *dims) if dims else ("day", "zone", "member")
    return np.asarray(days[name].transpose(*order).to_numpy(), dtype=np.float64)
