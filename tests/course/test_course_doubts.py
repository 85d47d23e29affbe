"""What is missing or doubtful: named once, gone when it is mended."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from winterrisk.course import Course, doubts, read_course, record_doubts
from winterrisk.course.doubts import distance, is_control

FolderWith = Callable[..., Path]

COMPLETE = """
name = "Invented field"
latitude = 46.3
longitude = -94.4
elevation = 380

[gauge]
kind = "heated"
[forecast]
source = "US NWS"
[crew]
people = 2
[calendar]
seed_order = "03-01"
sod_order = "03-15"
opening = "04-25"
[money]
prepare = 4000
loss_unprepared = 20000
loss_prepared = 9000
[[people]]
name = "A. Invented"
address = "mailto://a@example.com"
[[people]]
name = "B. Invented"
address = "mailto://b@example.com"
second = true
[[past_injury]]
winter = "2022-23"
area = "4"
zone = "low"
dead = 0.4
[[past_injury]]
winter = "2022-23"
area = "4"
zone = "open"
dead = 0.0
"""


@pytest.fixture
def complete(folder_with: FolderWith) -> Callable[..., Course]:
    """A course nothing is missing from, with replacements."""

    def read(*changes: tuple[str, str]) -> Course:
        whole = (
            ('file = "station.csv"', 'file = "station.csv"' + COMPLETE),
            ("invented = true", 'preset = "inland Canada"'),
        )
        return read_course(folder_with(*whole, *changes))

    return read


def test_a_complete_course_has_none(complete: Callable[..., Course]) -> None:
    assert doubts(complete()) == ()


@pytest.mark.parametrize(
    ("old", "new", "where", "says"),
    [
        ('preset = "inland Canada"', "invented = true", "place", "invented"),
        ('preset = "inland Canada"', "", "place.preset", "no region"),
        ("longitude = -94.3", "longitude = 94.3", "place.longitude", "check the sign"),
        ("latitude = 46.3", "latitude = 47.0", "station", "89 km from the course"),
        ("latitude = 46.3\n", "", "station", "position is not given"),
        ("elevation = 380", "elevation = 600", "station", "+230 m from the course"),
        ("elevation = 380", 'elevation = 380\nstep = "daily"', "station", "daily values"),
        ('kind = "heated"', 'kind = "unheated"', "gauge", "misses snow"),
        ('kind = "heated"', 'kind = "none"', "gauge", "no gauge"),
        ('source = "US NWS"', 'source = "none"', "forecast", "past winters"),
        ("turf = {annual_bluegrass = 0.6, creeping_bent = 0.4}\n", "", "turf", "4 low, 4 open"),
        ('zone = "open"', 'zone = "low"', "past_injury", "no history for 4 open"),
        ('template = "open"', 'template = "afternoon shade"', "areas", "no control zone on green 4"),
        ('template = "open"\n', "", "areas", "neither template nor holds_water for 4 open"),
        ("share = 0.3", "share = 0.3\nholds_water = 45", "4 low", "holds 45 mm"),
        ("share = 0.3", "share = 0.3\nthatch = 60", "4 low", "mat of 60 mm"),
        ("second = true", "", "people", "stands in"),
        ('address = "mailto://a@example.com"', "", "people", "no address for A. Invented"),
        (
            "mailto://a@",
            "mailto:a@",
            "people A. Invented",
            "names no mail server: no message can be sent there",
        ),
        ("//a@example.com", "//a@localhost", "people A. Invented", "own network"),
        ("[crew]\npeople = 2", "", "crew", "2 people on Mon, Tue, Wed, Thu, Fri"),
        ('opening = "04-25"', "", "calendar", "opening = 05-05 assumed"),
        ('seed_order = "03-01"', 'seed_order = "05-01"', "calendar", "after the opening"),
        ("loss_prepared = 9000", "", "money", "not given in full"),
        ("loss_prepared = 9000", "loss_prepared = 19000", "money", "costs more than it saves"),
    ],
)
def test_each_gap_is_one_line_with_the_next_move(
    complete: Callable[..., Course], old: str, new: str, where: str, says: str
) -> None:
    found = doubts(complete((old, new)))
    assert [doubt.where for doubt in found if says in str(doubt)] == [where], [str(doubt) for doubt in found]
    assert all(doubt.next_move and "\n" not in str(doubt) for doubt in found)


def test_nobody_gets_messages(folder_with: FolderWith) -> None:
    assert any("nobody gets messages" in str(doubt) for doubt in doubts(read_course(folder_with())))


def test_a_control_spot_is_sunny_and_drained(folder_with: FolderWith) -> None:
    course = read_course(folder_with())
    assert is_control(course.zone("4 open")) and not is_control(course.zone("4 low"))
    trees_to_the_north = ('template = "open"', 'template = "open"\nhorizon = {NW = 40, N = 50, NE = 40}')
    assert is_control(read_course(folder_with(trees_to_the_north)).zone("4 open"))
    trees_to_the_south = ('template = "open"', 'template = "open"\nhorizon = {S = 20}')
    assert not is_control(read_course(folder_with(trees_to_the_south)).zone("4 open"))


def test_the_distance_of_one_degree_along_a_meridian() -> None:
    # one minute of latitude is a nautical mile, 1.852 km, by definition near 45 degrees
    assert distance(45.0, 10.0, 46.0, 10.0) == pytest.approx(60 * 1.852, rel=0.002)
    assert distance(60.0, 179.5, 60.0, -179.5) == pytest.approx(60 * 1.852 / 2, rel=0.002)
    assert distance(46.0, 7.0, 46.0, 7.0) == 0.0
    # the metre was first made one ten-millionth of the way from pole to equator
    assert distance(90.0, 0.0, 0.0, 33.0) == pytest.approx(10_000, rel=0.002)


def record(start: str, stop: str, *names: str, lost: float = 0.0) -> xr.Dataset:
    """An hourly record of constant weather, the last part of it missing."""
    time = np.arange(np.datetime64(start, "h"), np.datetime64(stop, "h")).astype("datetime64[ns]")
    values = np.zeros(len(time))
    values[round(len(time) * (1 - lost)) :] = np.nan
    return xr.Dataset(dict.fromkeys(names, ("time", values)), coords={"time": time})


ALL = ("air_temperature", "precipitation", "dew_point", "wind_speed", "shortwave_down", "snow_depth")


def test_a_long_full_record_has_no_doubts() -> None:
    assert record_doubts(record("2020-07-01", "2024-02-01", *ALL)) == ()


def test_a_short_record_is_named() -> None:
    told = [str(doubt) for doubt in record_doubts(record("2023-10-05", "2024-02-01", *ALL))]
    assert any("begins on 2023-10-05, after 2023-08-01" in line for line in told)
    assert any("0 winter(s) before the newest one" in line for line in told)


def test_gaps_of_the_newest_winter_are_named() -> None:
    told = [str(doubt) for doubt in record_doubts(record("2020-08-01", "2024-02-01", *ALL, lost=0.02))]
    assert told[0].startswith("station.file: 14% of air temperature is missing in the newest winter")
    assert len(told) == 2, "temperature and precipitation, nothing else"


def test_variables_that_are_not_there_are_named() -> None:
    told = "\n".join(
        map(str, record_doubts(record("2020-07-01", "2024-02-01", "air_temperature", "precipitation")))
    )
    for called in ("humidity", "wind", "sunshine or cloud", "snow depth"):
        assert f"no {called} in it" in told
