"""More sun and better drainage on the winters of two real records: how often a sign does not hold, and by how much.

What stays is thin ice of sunlit snow that freezes again (docs/limits.md); the sample holds the signs strictly
(test_why_there.py).
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from real_records import SIX, airport_course, champion_course, champion_days, needs_field_data
from sample_winters import GROUNDS, no_events

from winterrisk.column.members import members
from winterrisk.column.zones import zones_days
from winterrisk.course import Course, day_start, read_course, replay_start
from winterrisk.recovery.changes import standing_changes
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
from winterrisk.weather.possible import possible
from winterrisk.weather.read_course_weather import read_course_weather

ICE = 3.0


def replays(course: Course, change: str) -> Iterator[tuple[int, xr.Dataset, xr.Dataset]]:
    """Spring's year, days (day, member) as they were and with the change, for each zone and winter of a record."""
    record = complete(read_course_weather(course).as_known(), course.place, (course.id,))
    times = record["time"].to_numpy()
    for year in range(int(str(times[0])[:4]) + 1, int(str(times[-1])[:4]) + 1):
        winter = f"{year - 1}-{year % 100:02d}"
        begins = day_start(replay_start(winter), course.timezone).astype("datetime64[ns]")
        ends = np.datetime64(f"{year}-06-01", "ns")
        if begins < times[0] or ends > times[-1]:
            continue
        there = record.isel(time=np.flatnonzero((times >= begins) & (times < ends)))
        key = (course.id, winter)
        paths = possible(there, past=record, members=1, key=key, until=ends, now=ends).isel(member=[0])
        several = members(paths, GROUNDS, key, Thresholds.defaults())
        for zone in course.zone_labels():
            for found in standing_changes(course, zone):
                if found.name == change:
                    days = (
                        zones_days(paths, c, {zone: no_events()}, several, zones=(zone,))[0].isel(zone=0)
                        for c in (course, found.course)
                    )
                    yield year, *days


def last_iced(days: xr.Dataset) -> np.ndarray:
    """Number of the last day (member) with ice; -1 where none."""
    iced = days["ice_thickness_max"].to_numpy() >= ICE
    return np.where(iced.any(axis=0), len(iced) - 1 - iced[::-1].argmax(axis=0), -1)


PLACES = [
    pytest.param(
        lambda folder: champion_course(folder, champion_days(), SIX), {"lay": 15, "later": 0}, id="champion"
    ),
    pytest.param(
        lambda folder: airport_course(folder, SIX),
        {"lay": 81, "later": 2},
        id="airport",
        marks=needs_field_data,
    ),
]


@pytest.mark.slow
@pytest.mark.parametrize(("place", "counted"), PLACES)
def test_more_sun_does_not_keep_ice_that_lies_in_spring(
    place: Callable[[Path], Path], counted: dict[str, int], tmp_path: Path
) -> None:
    """Two grounds of 96 keep thin ice one and three days longer."""
    earlier: list[int] = []
    for year, as_it_was, sunny in replays(read_course(place(tmp_path)), "sun"):
        spring = slice(f"{year}-03-01", None)
        before, after = (last_iced(days.sel(day=spring)) for days in (as_it_was, sunny))
        earlier += list((before - after)[before >= 0])
    assert {"lay": len(earlier), "later": sum(days < 0 for days in earlier)} == counted
    assert min(earlier) >= -3 and np.mean(earlier) > 0.0


@pytest.mark.slow
@pytest.mark.parametrize(("place", "counted"), PLACES)
def test_better_drainage_does_not_raise_wet_hours_on_real_winters(
    place: Callable[[Path], Path], counted: dict[str, int], tmp_path: Path
) -> None:
    """In the mean of grounds by no more than nine minutes a winter, in seven of 264 zone-winters."""
    more = [
        float((drained["hours_wet"].sum("day") - as_it_was["hours_wet"].sum("day")).mean())
        for _, as_it_was, drained in replays(read_course(place(tmp_path)), "drainage")
    ]
    assert len(more) >= 120 and max(more) <= 0.15 and np.mean(more) < -1.0
