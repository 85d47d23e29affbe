"""The sample's winters as one possible course each, with several grounds: enough to hold a change against."""

from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.column.members import Members, members
from winterrisk.column.zones import zones_days
from winterrisk.course import Course, day_start, read_course, replay_start, winter_start
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
from winterrisk.weather.course_weather import prepared
from winterrisk.weather.possible import possible
from winterrisk.weather.read_course_weather import read_course_weather

SAMPLE = Path(__file__).parents[2] / "sample_weather" / "ostermoor"
COLUMNS = ("time", "until", "zone", "kind", "value", "unit", "share", "who", "known", "detail")
GROUNDS = 6


@cache
def course() -> Course:
    return read_course(SAMPLE)


@cache
def whole_record() -> xr.Dataset:
    received = read_course_weather(course())
    raw = prepared(received, received.span[1], hindsight=True).raw
    return complete(raw, course().place, (course().id,))


@cache
def winter(name: str, grounds: int = GROUNDS) -> tuple[xr.Dataset, Members]:
    """Weather from 1 August to 31 May as it was, and some grounds; long gaps filled the usual way only."""
    begins = day_start(replay_start(name), course().timezone).astype("datetime64[ns]")
    ends = np.datetime64(f"{winter_start(name).year + 1}-06-01", "ns")
    record = whole_record()
    times = record["time"].to_numpy()
    there = record.isel(time=np.flatnonzero((times >= begins) & (times < ends)))
    key = (course().id, name)
    paths = possible(there, past=record, members=1, key=key, until=ends, now=ends).isel(member=[0])
    return paths, members(paths, grounds, key, Thresholds.defaults())


def days_of(
    name: str, there: Course, zone: str, events: pd.DataFrame | None = None, grounds: int = GROUNDS
) -> xr.Dataset:
    """Winter days (day, member) of a zone; from 1 November on."""
    paths, several = winter(name, grounds)
    seen = {zone: no_events() if events is None else events}
    days, _ = zones_days(paths, there, seen, several, zones=(zone,))
    return days.isel(zone=0).sel(day=slice(f"{winter_start(name).year}-11-01", None))


def no_events() -> pd.DataFrame:
    return pd.DataFrame({name: [] for name in COLUMNS}).astype({"time": "datetime64[s]", "kind": "str"})
