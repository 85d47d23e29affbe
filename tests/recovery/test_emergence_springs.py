"""Emergence on the springs of two real records, against the rule that bent and ryegrass come up at 10 degC soil.

The rule was found in one trial (HortTechnology 31, 42, 2021): sown on 8 April into soil of 4.7 degC, which then warmed
in a straight line to 23.5 degC in 52 days; bents and ryegrass came up at about 10 degC. It applies to seed sown so in a
spring that goes so: from 4.7 to 10 degC in the trial's 15 days, give or take the five days that are asked for, without
falling back below 4.7 degC. Elsewhere no one temperature tells the day: seed that lay long in soil of 5 to 9 degC comes
up before 10 degC, seed that a few hot days overtook comes up after. How far each way is off stands in docs/limits.md.

How soil is read: the trial tells what the soil was on the day, off a straight line through all its days. So the day is
read without lag, as a mean round it: five days, the span the program means soil over, and three, seven and nine beside
it. A mean of the days before is the soil of half its span ago: in soil that warms 0.36 K a day it calls 10 degC two
days late. It is what a person has who looks today, and is printed too.

A daily record does not tell at which hour its rain fell, and the program does not take one hour for granted: a spring
has as many courses as there are ways to put the rain, and its difference is their mean, as in the airport's snow
scores. By five days, and by the five days before, every one of the ways is within five days.

The airport's air comes off a great lake, and its course file says so. Where it does not, the sun is a sixth too weak:
in one spring more, 1969, the soil then only just touches 10 degC, or just does not, a week before it passes it for
good, and is six days off in most ways of the rain. That is checked too.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from real_records import airport_course, champion_course, champion_days, needs_field_data

from winterrisk.column import run
from winterrisk.course import day_start, read_course, replay_start
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.recovery.grow_in import emergence, germinated
from winterrisk.recovery.thermal_time import MEAN_OF
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
from winterrisk.weather.possible import possible
from winterrisk.weather.read_course_weather import read_course_weather

ONE = 'zones = [{name = "open", template = "open"}]'
ZONE = "7 open"
NEAR = 5
ROWS = Thresholds.defaults().values
GRASSES = {"ryegrass": "perennial_ryegrass", "bent": "creeping_bent"}
SOWN_AT, UP_AT = 4.7, 10.0
"""Soil of the trial at sowing, and when all came up [degC]."""
RISE = (23.5 - SOWN_AT) / 52.0
"""Warming of the trial's soil [K d-1]."""
TRIAL_DAYS = (UP_AT - SOWN_AT) / RISE
READ = MEAN_OF
"""Days meant round the day [d]."""
RAIN_PATHS = 4
"""Ways to put the rain of a spring at hours of its days, as in the airport's snow scores; 64 in the slow test."""
SPANS = (3, READ, 7, 9)


def springs(folder: Path, rain_paths: int = RAIN_PATHS) -> pd.DataFrame:
    """One row a spring of a course's record: days from 10 degC soil to emergence in the mean of the ways its rain may
    have fallen in its days, in which share of them the rule applies, and in which it is within five days."""
    course = read_course(folder)
    record = complete(read_course_weather(course).as_known(), course.place, (course.id,))
    times = record["time"].to_numpy()
    ground = zone_ground(course).sel(zone=ZONE)
    rows = []
    for year in range(pd.Timestamp(times[0]).year + 1, pd.Timestamp(times[-1]).year + 1):
        winter = f"{year - 1}-{year % 100:02d}"
        begins = day_start(replay_start(winter), course.timezone).astype("datetime64[ns]")
        ends = np.datetime64(f"{year}-06-30", "ns")
        if begins < times[0] or ends > times[-1]:
            continue
        there = record.isel(time=np.flatnonzero((times >= begins) & (times < ends)))
        key = (course.id, winter)
        paths = possible(there, past=record, members=rain_paths, key=key, until=ends, now=ends)
        days = run(zone_weather(paths, course, ZONE), ground, output="days")
        soil = days["soil_temperature_5cm_mean"].transpose("day", "member").to_numpy().astype(float)
        january = int(np.flatnonzero(days["day"].to_numpy() >= np.datetime64(f"{year}-01-15"))[0])
        each = pd.DataFrame([_spring(soil[:, [path]], january) for path in range(soil.shape[1])])
        near = (each.filter(like="ryegrass").abs() <= NEAR).mean().add_prefix("near: ")
        rows.append({"spring": year, **each.mean(), **near})
    return pd.DataFrame(rows).set_index("spring")


def _spring(soil: np.ndarray, january: int) -> dict[str, float]:
    """Each reading of the soil: whether the rule applies, and days from 10 degC to emergence."""
    days = pd.Series(soil[:, 0])
    row: dict[str, float] = {}
    for reading, mean in (
        *((f"round {span}", days.rolling(span, center=True).mean()) for span in SPANS),
        ("before", days.rolling(READ).mean()),
    ):
        read = mean.to_numpy()
        sown, ten = (january + int(np.argmax(read[january:] >= t)) for t in (SOWN_AT, UP_AT))
        row[f"applies, {reading}"] = bool(
            read[sown : ten + 1].min() >= SOWN_AT and abs(ten - sown - TRIAL_DAYS) <= NEAR
        )
        for told, grass in GRASSES.items():
            row[f"{told}, {reading}"] = emergence(soil, np.array([float(sown)]), grass, ROWS)[0] - ten
    return row


def _champion(folder: Path) -> Path:
    return champion_course(folder, champion_days(), ONE)


def _airport(folder: Path) -> Path:
    return airport_course(folder, ONE)


PLACES = [
    pytest.param(_champion, 36, id="champion"),
    pytest.param(_airport, 30, id="airport", marks=needs_field_data),
]
AS_THERE = {
    _champion: {"round 3": 4, "round 5": 6, "round 7": 8, "round 9": 8, "before": 6},
    _airport: {"round 3": 5, "round 5": 5, "round 7": 5, "round 9": 6, "before": 5},
}
"""Springs like the trial's in most ways their rain may have fallen, as each reading tells them: counted."""
FARTHER = {
    _champion: {"round 3": {2000: 15.5}},
    _airport: {"round 3": {1965: -5.25}, "round 9": {1967: -6.75}},
}
"""Those of them that are more than five days off [d]: none by the program's own span of five days."""
_KNOWN: dict[Callable[[Path], Path], pd.DataFrame] = {}


def _table(place: Callable[[Path], Path], folder: Path) -> pd.DataFrame:
    if place not in _KNOWN:
        _KNOWN[place] = springs(place(folder))
    return _KNOWN[place]


def _there(table: pd.DataFrame, grass: str, reading: str) -> pd.Series:
    """Days from 10 degC soil to emergence in the springs that go as the trial's."""
    there = table[table[f"applies, {reading}"] > 0.5][f"{grass}, {reading}"]
    print(there.to_string())
    return there


@pytest.mark.parametrize("grass", GRASSES)
@pytest.mark.parametrize("span", SPANS)
@pytest.mark.parametrize(("place", "springs_on_record"), PLACES)
def test_seed_comes_up_within_five_days_of_10_degree_soil_in_springs_like_the_trial(
    place: Callable[[Path], Path], springs_on_record: int, span: int, grass: str, tmp_path: Path
) -> None:
    """Each of eleven by the program's own span of five days, whichever way its rain fell; by other spans all but one
    or two."""
    table = _table(place, tmp_path)
    there = _there(table, grass, f"round {span}")
    assert (len(table), len(there)) == (springs_on_record, AS_THERE[place][f"round {span}"])
    assert there[there.abs() > NEAR].to_dict() == FARTHER[place].get(f"round {span}", {})
    if span == READ:
        assert (table.loc[there.index, f"near: ryegrass, round {span}"] == 1.0).all()


@pytest.mark.parametrize(("place", "springs_on_record"), PLACES)
def test_a_mean_of_the_days_before_is_two_days_late(
    place: Callable[[Path], Path], springs_on_record: int, tmp_path: Path
) -> None:
    """By it, too, every spring like the trial's is within five days, whichever way its rain fell."""
    table = _table(place, tmp_path)
    there = _there(table, "ryegrass", "before")
    assert (len(table), len(there)) == (springs_on_record, AS_THERE[place]["before"])
    assert there.abs().max() <= NEAR
    assert (table.loc[there.index, "near: ryegrass, before"] == 1.0).all()


@pytest.mark.slow
@pytest.mark.parametrize(("place", "springs_on_record"), PLACES)
def test_the_five_days_hold_over_sixty_four_ways_of_the_rain(
    place: Callable[[Path], Path], springs_on_record: int, tmp_path: Path
) -> None:
    """In every single one of them."""
    table = springs(place(tmp_path), 64)
    for reading in (f"round {READ}", "before"):
        there = _there(table, "ryegrass", reading)
        assert (len(table), len(there)) == (springs_on_record, AS_THERE[place][reading])
        assert (table.loc[there.index, f"near: ryegrass, {reading}"] == 1.0).all()


@pytest.mark.slow
@needs_field_data
def test_without_the_sun_of_coasts_one_spring_is_six_days_off_in_most_ways_of_the_rain(
    tmp_path: Path,
) -> None:
    """1969: the soil just misses 10 degC (9.9) on 15 April in 41 of 64 ways, and touches it in 23."""
    table = springs(airport_course(tmp_path, ONE, near_water=False), 64)
    there = _there(table, "ryegrass", f"round {READ}")
    assert len(there) == 6 and there.abs().max() <= NEAR
    near = table.loc[there.index, f"near: ryegrass, round {READ}"]
    assert near[near < 1.0].to_dict() == {1969: pytest.approx(23 / 64)}


@pytest.mark.parametrize("grass", GRASSES.values())
def test_in_the_soil_of_the_trial_itself_it_comes_up_at_about_10_degrees(grass: str) -> None:
    """Ryegrass by its thermal time from the laboratory alone (Larsen and Bibby 2005): not fitted to the trial."""
    soil = SOWN_AT + RISE * np.arange(53.0)[:, None]
    up = int(emergence(soil, np.zeros(1), grass, ROWS)[0])
    assert abs(soil[up, 0] - UP_AT) <= 1.0 and abs(up - TRIAL_DAYS) <= 3


def test_half_of_bent_seed_by_its_assumed_time_comes_a_week_after_the_first_seedlings() -> None:
    """In the trial's soil 70 to 100 degC d over 5 degC would come 6 to 10 days late for first seedlings."""
    soil = SOWN_AT + RISE * np.arange(53.0)[:, None]
    for warmth, late in ((70.0, 6), (100.0, 10)):
        rows = {**ROWS, "germination_time.creeping_bent": warmth}
        half = germinated(soil, np.zeros(1), "creeping_bent", rows)[0]
        assert round(half - TRIAL_DAYS) == pytest.approx(late, abs=1)
        assert half > emergence(soil, np.zeros(1), "creeping_bent", rows)[0]


def test_what_is_published_of_bent_gives_no_base_of_its_own() -> None:
    """First seedlings on the sixth day at 25/15 degC, 8 and 16 h (Shim 2020), and at 10 degC in the trial: one thermal
    time for both has a base of 0 to 2 degC, but bent does not germinate below 7 degC (Minnesota, 2019)."""
    laboratory = (8 * 25.0 + 16 * 15.0) / 24
    bases = np.linspace(-2.0, 4.0, 601)
    trial = (SOWN_AT - bases) * TRIAL_DAYS + 0.5 * RISE * TRIAL_DAYS**2
    for days, base in ((5.0, 1.7), (6.0, -0.3)):
        found = bases[np.argmin(np.abs((laboratory - bases) * days - trial))]
        assert found == pytest.approx(base, abs=0.1)
