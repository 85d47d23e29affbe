"""Emergence on the springs of two real records, against the rule that bent and ryegrass come up at 10 degC soil.

The rule (trial of bents and ryegrass, HortTechnology 31, 42, 2021) has no sowing date and no spring that turns back
in it. It applies where the soil goes from 7 to 10 degC once and stays: the five-day mean does not fall back below
7 degC on the way, and the ten days from 10 degC on hold it in the mean. Ryegrass (published thermal time) is sown at
7 degC; bent (assumed thermal time) lies in the ground since January. How far each spring is off stands in
docs/limits.md.
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
from winterrisk.recovery import first_warm_day
from winterrisk.recovery.grow_in import emergence
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
from winterrisk.weather.read_course_weather import read_course_weather

ONE = 'zones = [{name = "open", template = "open"}]'
ZONE = "7 open"
NEAR = 5
ROWS = Thresholds.defaults().values


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
    seven, ten = (int(first_warm_day(soil, january, t)[0]) for t in (7.0, 10.0))
    mean = pd.Series(soil[:, 0]).rolling(5).mean().to_numpy()
    steady = mean[seven : ten + 1].min() >= 7.0 and soil[ten : ten + 10].mean() >= 10.0
    return {
        "applies": bool(steady),
        "ryegrass": float(emergence(soil, np.array([float(seven)]), "perennial_ryegrass", ROWS)[0] - ten),
        "bent": float(emergence(soil, np.array([float(january)]), "creeping_bent", ROWS)[0] - ten),
    }


def _champion(folder: Path) -> Path:
    return champion_course(folder, champion_days(), ONE)


def _airport(folder: Path) -> Path:
    return airport_course(folder, ONE)


PLACES = [
    pytest.param(_champion, 36, id="champion"),
    pytest.param(_airport, 30, id="airport", marks=needs_field_data),
]
_KNOWN: dict[Callable[[Path], Path], pd.DataFrame] = {}


def applies(place: Callable[[Path], Path], folder: Path) -> tuple[pd.DataFrame, int]:
    """The springs in which the rule applies, and how many there are on record; worked once."""
    if place not in _KNOWN:
        _KNOWN[place] = springs(place(folder))
    table = _KNOWN[place]
    return table[table["applies"]], len(table)


@pytest.mark.parametrize(("place", "springs_on_record"), PLACES)
def test_seed_comes_up_within_five_days_of_10_degree_soil_in_the_middle_spring(
    place: Callable[[Path], Path], springs_on_record: int, tmp_path: Path
) -> None:
    there, count = applies(place, tmp_path)
    print(there.to_string())
    assert count == springs_on_record and len(there) >= 6
    for grass in ("ryegrass", "bent"):
        assert abs(there[grass].median()) <= NEAR


@pytest.mark.parametrize(("place", "springs_on_record"), PLACES)
@pytest.mark.xfail(
    reason="24 of 28 within 5 d: bent's thermal time is assumed, the rule has no sowing date", strict=True
)
def test_in_every_spring(place: Callable[[Path], Path], springs_on_record: int, tmp_path: Path) -> None:
    there, _ = applies(place, tmp_path)
    assert (there[["ryegrass", "bent"]].abs() <= NEAR).to_numpy().all()
