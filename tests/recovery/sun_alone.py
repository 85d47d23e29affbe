"""A shaded zone with the sun of the open sky and nothing else changed.

Trees out of the way give sun and take warmth: what hid the sky shone at the temperature of the air, night and day.
Over bright snow under a low sun the two are of one size (Ambach 1974; Sicart et al. 2004, from memory).
"""

import numpy as np
import xarray as xr

from winterrisk.column import run
from winterrisk.column.members import Members
from winterrisk.column.state import State
from winterrisk.course import Course
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.recovery.changes import standing_changes

LIES = 3.0
"""Millimetres that make a day under ice."""


def felled(course: Course, zone: str) -> Course:
    """The course with the zone's trees and hills out of the way."""
    return next(change.course for change in standing_changes(course, zone) if change.name == "sun")


def lit(weather: xr.Dataset, course: Course, zone: str, how: str) -> xr.Dataset:
    """Weather of a zone "shaded" as it is, with "sun" or with the "sky" of the open alone, or "felled": both."""
    shaded, sunny = (zone_weather(weather, c, zone) for c in (course, felled(course, zone)))
    taken = {"shaded": (), "sun": ("shortwave_down",), "sky": ("longwave_down",)}
    if how == "felled":
        return sunny
    return shaded.assign({name: sunny[name] for name in taken[how]})


def winter_days(weather: xr.Dataset, several: Members, course: Course, zone: str, how: str) -> xr.Dataset:
    """Days (day, member) of the zone, lit in one of these ways from the start of the weather on."""
    ground = zone_ground(course).sel(zone=zone)
    draws = {**several.column, "path": several.path}
    return run(lit(weather, course, zone, how), ground, draws=draws, output="days")


def hours_of_ice_that_lies(
    weather: xr.Dataset, several: Members, course: Course, zone: str, days: list[str]
) -> dict[str, np.ndarray]:
    """Hours (ground) until the ice that lies on a day is under 3 mm: shaded, and from the same state on with the sun
    alone or felled. One row for each day and each ground that has ice then; "day": that day."""
    ground = zone_ground(course).sel(zone=zone)
    draws = {**several.column, "path": several.path}
    ways = {how: lit(weather, course, zone, how) for how in ("shaded", "sun", "felled")}
    found: dict[str, list[float]] = {how: [] for how in ways}
    lain: list[np.datetime64] = []
    state: State | None = None
    for day in days:
        until = np.datetime64(f"{day}T06", "h")
        _, state = run(
            ways["shaded"], ground, draws=draws, output="days", start=state, until=until, keep_state=True
        )
        ice = {
            how: run(own, ground, draws=draws, start=state)["ice_thickness"].to_numpy()
            for how, own in ways.items()
        }
        lies = ice["shaded"][0] >= LIES
        for how, mm in ice.items():
            gone = mm < LIES
            hours = np.where(gone.any(axis=0), gone.argmax(axis=0), len(mm))
            found[how] += hours[lies].tolist()
        lain += [np.datetime64(day)] * int(lies.sum())
    return {how: np.array(hours) for how, hours in found.items()} | {"day": np.array(lain, "datetime64[D]")}


def iced_days(days: xr.Dataset, year: int) -> np.ndarray:
    """Days under ice (ground) from 1 March on."""
    return (days["days_under_ice"].sel(day=slice(f"{year}-03-01", None)) > 0).sum("day").to_numpy()


def last_iced(days: xr.Dataset, year: int) -> np.ndarray:
    """Days from 1 March to the last under ice (ground); -1 where none."""
    iced = days["days_under_ice"].sel(day=slice(f"{year}-03-01", None)).to_numpy() > 0
    return np.where(iced.any(axis=0), len(iced) - 1 - iced[::-1].argmax(axis=0), -1)
