"""How often snow lies on turf that weather alone takes for bare in a hard frost.

Thirty winters of a Great Lakes airport (GHCN-Daily, Menne et al. 2012): an open green beside it, worked from highest,
lowest and precipitation, and the snow depth that was measured. A course whose file does not say that its air comes off
the lake has too little sun, and more frosts on what it takes for bare turf.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from real_records import airport_course, airport_days, needs_field_data

from winterrisk.column import run
from winterrisk.course import read_course
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.sampling.worth import SNOW_UNSEEN
from winterrisk.weather import complete
from winterrisk.weather.read_course_weather import read_course_weather

ZONE = "7 open"
HARD, BARE = -8.0, 0.01
"""Crown of a hard frost [degC], and snow below which the column's turf is bare [m]."""


@needs_field_data
@pytest.mark.parametrize(("near_water", "share"), [(False, 0.24), (True, 0.18)])
def test_an_inch_lies_on_a_fifth_of_the_frosts_that_weather_alone_calls_bare(
    near_water: bool, share: float, tmp_path: Path
) -> None:
    zones = 'zones = [{name = "open", template = "open"}]'
    course = read_course(airport_course(tmp_path, zones, depth=False, near_water=near_water))
    weather = complete(read_course_weather(course).as_known(), course.place, (course.id,))
    times, ground = weather["time"].to_numpy(), zone_ground(course).sel(zone=ZONE)
    found = []
    for year in range(1960, 1990):
        begin, end = np.datetime64(f"{year}-08-01T06"), np.datetime64(f"{year + 1}-05-01")
        own = weather.isel(time=np.flatnonzero((times >= begin) & (times < end)))
        days = run(zone_weather(own, course, ZONE), ground, output="days").squeeze()
        found.append(
            pd.DataFrame(
                {name: days[name].to_numpy() for name in ("crown_temperature_min", "snow_depth_mean")},
                index=pd.DatetimeIndex(days["day"].to_numpy()),
            )
        )
    every = pd.concat(found)
    frosts = every[(every["crown_temperature_min"] < HARD) & (every["snow_depth_mean"] < BARE)]
    inches = airport_days()["snow_depth_in"].reindex(frosts.index)
    print(f"{(inches >= 1).sum()} of {len(frosts)} frosts on bare turf had an inch of snow or more")
    assert len(frosts) > 50
    assert (inches >= 1).mean() == pytest.approx(share, abs=0.01)
    assert abs((inches >= 1).mean() - SNOW_UNSEEN) < 0.08
