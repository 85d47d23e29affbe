"""Emergence on the springs of two real records, against the rule that bent and ryegrass come up at 10 degC soil.

The rule was found in one trial (HortTechnology 31, 42, 2021): sown on 8 April into soil of 4.7 degC, which then warmed
in a straight line to 23.5 degC in 52 days; bents and ryegrass came up at about 10 degC. It applies to seed sown so in a
spring that goes so: from 4.7 to 10 degC in the trial's 15 days, give or take the five days that are asked for, without
falling back below 4.7 degC. Elsewhere no one temperature tells the day: seed that lay long in soil of 5 to 9 degC comes
up before 10 degC, seed that a few hot days overtook comes up after. How far each way is off stands in docs/limits.md.
"""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from real_records import airport_course, champion_course, champion_days, needs_field_data

from winterrisk.column import run
from winterrisk.course import read_course
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.recovery.grow_in import emergence, germinated
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
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


def springs(folder: Path) -> pd.DataFrame:
    """One row a spring of a course's record: days from 10 degC soil to emergence, and whether the rule applies."""
    course = read_course(folder)
    weather = complete(read_course_weather(course).as_known(), course.place, (course.id,))
    times = weather["time"].to_numpy()
    ground = zone_ground(course).sel(zone=ZONE)
    rows = []
    for year in range(pd.Timestamp(times[0]).year, pd.Timestamp(times[-1]).year):
        begins, ends = np.datetime64(f"{year}-08-01T07", "ns"), np.datetime64(f"{year + 1}-06-30", "ns")
        if begins < times[0] or ends > times[-1]:
            continue
        own = zone_weather(
            weather.isel(time=np.flatnonzero((times >= begins) & (times < ends))), course, ZONE
        )
        days = run(own, ground, output="days").isel(member=0)
        soil = days["soil_temperature_5cm_mean"].to_numpy().astype(float)[:, None]
        january = int(np.flatnonzero(days["day"].to_numpy() >= np.datetime64(f"{year + 1}-01-15"))[0])
        rows.append({"spring": year + 1, **_spring(soil, january)})
    return pd.DataFrame(rows).set_index("spring")


def _spring(soil: np.ndarray, january: int) -> dict[str, float]:
    """Five days are meant round each day: a mean of the days before would call 10 degC two days late."""
    mean = pd.Series(soil[:, 0]).rolling(5, center=True).mean().to_numpy()
    sown, ten = (january + int(np.argmax(mean[january:] >= t)) for t in (SOWN_AT, UP_AT))
    as_there = mean[sown : ten + 1].min() >= SOWN_AT and abs(ten - sown - TRIAL_DAYS) <= NEAR
    up = {told: emergence(soil, np.array([float(sown)]), grass, ROWS)[0] for told, grass in GRASSES.items()}
    return {"applies": bool(as_there), **{told: float(day - ten) for told, day in up.items()}}


def _champion(folder: Path) -> Path:
    return champion_course(folder, champion_days(), ONE)


def _airport(folder: Path) -> Path:
    return airport_course(folder, ONE)


PLACES = [
    pytest.param(_champion, 36, 6, id="champion"),
    pytest.param(_airport, 30, 4, id="airport", marks=needs_field_data),
]
_KNOWN: dict[Callable[[Path], Path], pd.DataFrame] = {}


@pytest.mark.parametrize("grass", GRASSES)
@pytest.mark.parametrize(("place", "springs_on_record", "as_there"), PLACES)
def test_seed_comes_up_within_five_days_of_10_degree_soil_in_every_spring_like_the_trial(
    place: Callable[[Path], Path], springs_on_record: int, as_there: int, grass: str, tmp_path: Path
) -> None:
    if place not in _KNOWN:
        _KNOWN[place] = springs(place(tmp_path))
    table = _KNOWN[place]
    there = table[table["applies"]]
    print(there.to_string())
    assert (len(table), len(there)) == (springs_on_record, as_there)
    assert (there[grass].abs() <= NEAR).all()


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
