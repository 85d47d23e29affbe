"""More sun and better drainage on the winters of two real records: how often a sign does not hold, and by how much.

Of a spring: the sun melts what lies, and ice that lies goes no later. Of a whole winter it is no law: snow that the sun
melts in February freezes to ice on the turf below, and thinner snow lets the ground freeze deeper. And trees out of the
way are not sun alone: they open the sky, and nights grow colder (docs/limits.md).
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from real_records import SIX, airport_course, champion_course, champion_days, needs_field_data
from sample_winters import GROUNDS
from sun_alone import hours_of_ice_that_lies, iced_days, last_iced, winter_days

from winterrisk.column import run
from winterrisk.column.members import Members, members
from winterrisk.course import Course, day_start, read_course, replay_start
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.recovery.changes import standing_changes
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
from winterrisk.weather.possible import possible
from winterrisk.weather.read_course_weather import read_course_weather

SHADED = "7 shade"
A_SECOND = 1.0 / 3600.0
STANDS = 0.5
"""Water standing on the turf [mm]: more than the film that leaves keep."""


def winters(
    course: Course, only: tuple[int, ...] = (), grounds: int = GROUNDS
) -> Iterator[tuple[int, xr.Dataset, Members]]:
    """Spring's year, weather as it was and some grounds, for each winter of a course's record."""
    record = complete(read_course_weather(course).as_known(), course.place, (course.id,))
    times = record["time"].to_numpy()
    for year in only or range(int(str(times[0])[:4]) + 1, int(str(times[-1])[:4]) + 1):
        winter = f"{year - 1}-{year % 100:02d}"
        begins = day_start(replay_start(winter), course.timezone).astype("datetime64[ns]")
        ends = np.datetime64(f"{year}-06-01", "ns")
        if begins < times[0] or ends > times[-1]:
            continue
        there = record.isel(time=np.flatnonzero((times >= begins) & (times < ends)))
        key = (course.id, winter)
        paths = possible(there, past=record, members=1, key=key, until=ends, now=ends).isel(member=[0])
        yield year, paths, members(paths, grounds, key, Thresholds.defaults())


def champion(folder: Path) -> Path:
    return champion_course(folder, champion_days(), SIX)


def airport(folder: Path) -> Path:
    return airport_course(folder, SIX)


PLACES = [
    pytest.param(champion, id="champion"),
    pytest.param(airport, id="airport", marks=needs_field_data),
]


def lasting(course: Course, only: tuple[int, ...] = (), grounds: int = GROUNDS) -> dict[str, np.ndarray]:
    """Hours for which the ice that lies on 1 March, 15 March and 1 April lies on, shaded, sunny and felled."""
    found: dict[str, list[np.ndarray]] = {}
    for year, paths, several in winters(course, only, grounds):
        days = [f"{year}-03-01", f"{year}-03-15", f"{year}-04-01"]
        for how, hours in hours_of_ice_that_lies(paths, several, course, SHADED, days).items():
            found.setdefault(how, []).append(hours)
    return {how: np.concatenate(hours) for how, hours in found.items()}


@needs_field_data
def test_ice_that_lies_goes_no_later_in_more_sun_in_four_hard_springs(tmp_path: Path) -> None:
    """At the airport: springs with much ice, and two whose whole-winter days rose most with the trees felled."""
    hours = lasting(read_course(airport(tmp_path)), (1963, 1965, 1972, 1986))
    later = hours["sun"] - hours["shaded"]
    assert len(later) == 35 and later.max() <= 0 and later.mean() < -6.0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("place", "lie"),
    [
        pytest.param(champion, 24, id="champion"),
        pytest.param(airport, 354, id="airport", marks=needs_field_data),
    ],
)
def test_ice_that_lies_goes_no_later_in_more_sun(
    place: Callable[[Path], Path], lie: int, tmp_path: Path
) -> None:
    """Same ice, same ground, from that day on more sun: on none of 378 grounds is it later. With the trees felled,
    which opens the sky too, on three, by three hours at most, and in the mean of the grounds in no winter."""
    hours = lasting(read_course(place(tmp_path)), grounds=24)
    later = {how: hours[how] - hours["shaded"] for how in ("sun", "felled")}
    for how, more in later.items():
        print(
            how,
            len(more),
            "grounds, later in",
            (more > 0).sum(),
            "at most",
            more.max(),
            "h; mean",
            more.mean(),
        )
        of_a_day = [more[hours["day"] == day].mean() for day in np.unique(hours["day"])]
        assert len(of_a_day) >= 3 and max(of_a_day) <= 0.0, of_a_day
    assert len(hours["shaded"]) == lie
    assert later["sun"].max() <= 0
    assert later["felled"].max() <= 3 and (later["felled"] > 0).sum() <= 3
    assert later["sun"].mean() < later["felled"].mean() < -3.5


@pytest.mark.slow
@pytest.mark.parametrize(
    ("place", "lay", "later", "more"),
    [
        pytest.param(champion, 55, {"sun": 0, "felled": 0}, {"sun": 0, "felled": 0}, id="champion"),
        pytest.param(
            airport,
            266,
            {"sun": 6, "felled": 6},
            {"sun": 4, "felled": 5},
            id="airport",
            marks=needs_field_data,
        ),
    ],
)
def test_spring_ice_of_whole_winters_with_more_sun(
    place: Callable[[Path], Path], lay: int, later: dict[str, int], more: dict[str, int], tmp_path: Path
) -> None:
    """Counted, not wished: zone-winters with more days under ice after 1 March, grounds where the last leaves later."""
    course = read_course(place(tmp_path))
    ways = ("shaded", "sun", "felled", "sky")
    days: dict[str, list[np.ndarray]] = {how: [] for how in ways}
    last: dict[str, list[np.ndarray]] = {how: [] for how in ways}
    for year, paths, several in winters(course, grounds=24):
        for how in ways:
            found = winter_days(paths, several, course, SHADED, how)
            days[how].append(iced_days(found, year))
            last[how].append(last_iced(found, year))
    under = {how: np.mean(counts, axis=1) for how, counts in days.items()}
    lies = np.concatenate(last["shaded"]) >= 0
    waits = {how: (np.concatenate(last[how]) - np.concatenate(last["shaded"]))[lies] for how in later}
    rises = {how: under[how] - under["shaded"] for how in ways}
    for how in ways:
        print(
            how,
            "days",
            rises[how].sum().round(1),
            "more in",
            (rises[how] > 1e-6).sum(),
            "most",
            rises[how].max(),
        )
    print("lay", lies.sum(), "later", {how: (int((w > 0).sum()), int(w.max())) for how, w in waits.items()})
    assert lies.sum() == lay
    assert {how: int((waits[how] > 0).sum()) for how in later} == later
    assert {how: int((rises[how] > 1e-6).sum()) for how in more} == more
    assert max(rises["felled"].max(), rises["sun"].max()) <= 3.2
    assert under["sun"].sum() < under["felled"].sum() < under["shaded"].sum() < under["sky"].sum()


@pytest.mark.slow
@pytest.mark.parametrize("place", PLACES)
def test_better_drainage_does_not_raise_wet_hours_on_real_winters(
    place: Callable[[Path], Path], tmp_path: Path
) -> None:
    """In the mean of 24 grounds water stands no longer, and crowns are thawed and soaked no longer, in any of 264
    zone-winters."""
    course = read_course(place(tmp_path))
    standing: list[float] = []
    wet: list[float] = []
    for _, paths, several in winters(course, grounds=24):
        draws = {**several.column, "path": several.path}
        for zone in course.zone_labels():
            shed = [c.course for c in standing_changes(course, zone) if c.name == "drainage"]
            if not shed:
                continue
            ways = [(zone_weather(paths, c, zone), zone_ground(c).sel(zone=zone)) for c in (course, *shed)]
            hours = [
                run(own, ground, draws=draws)["surface_water"].to_numpy() >= STANDS for own, ground in ways
            ]
            standing.append(float((hours[1].sum(axis=0) - hours[0].sum(axis=0)).mean()))
            thawed = [
                run(own, ground, draws=draws, output="days")["hours_wet"].sum("day") for own, ground in ways
            ]
            wet.append(float((thawed[1] - thawed[0]).mean()))
    print(len(wet), "zone-winters; standing at most", max(standing), "h more, wet", max(wet))
    assert len(wet) >= 120
    assert max(standing) <= 0.0 and np.mean(standing) < -10.0
    assert max(wet) <= A_SECOND and np.mean(wet) < -1.0
