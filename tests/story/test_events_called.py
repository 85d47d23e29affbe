"""Three published thaw-then-freeze events, as hours made for this project: a wet low is called, steady cold is not.

The events: highs of 7-10 degC for four days with rain, then -18 degC (27 Feb 2014); 9 degC with rain, then -11 degC in
three days (9 Mar 2005); -19 to 16 degC with 38 mm of rain and back to -7 degC within a week (29 Jan 2013).
"""

import datetime as dt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from winterrisk.backcast import backcast_nights, days_ahead, read_work, whole_record
from winterrisk.nightly import Night, Settings

EVENTS = Path(__file__).parents[1] / "published" / "data" / "events_weather_hourly.csv"
FREEZES = {1: dt.date(2014, 2, 27), 2: dt.date(2005, 3, 9), 3: dt.date(2013, 1, 29)}
SMALL = Settings(n_ground=4, n_paths=3, n_draws=60)
COURSE = """# Invented course; weather made for this project about three published events.
[place]
name = "Event Links"
latitude = 43.0
longitude = -76.0
elevation = 120
timezone = "America/New_York"
invented = true

[[areas]]
name = "3"
kind = "green"
size = 450
build = "push-up"
turf = {annual_bluegrass = 1.0}
zones = [
    {name = "low", template = "low spot", share = 0.5, drainage = "poor"},
    {name = "ridge", template = "ridge", share = 0.5},
]

[turf]
snow_mould_spray = true

[station]
file = "hours.csv"
name = "Event yard (invented)"
latitude = 43.0
longitude = -76.0
elevation = 120
step = "hourly"
utc_offset = -5

[station.columns]
time = "time_local"
air_temperature = "air_temperature_c"
dew_point = "dew_point_c"
wind_speed = "wind_ms"
precipitation = "precipitation_mm"
cloud_cover = {column = "cloud_cover", unit = "fraction"}
"""


def course(folder: Path, event: int, *, steady: bool = False) -> Path:
    """A course beside one event; steady: from January on no hour above -5 or below -9 degC, what falls is snow."""
    table = pd.read_csv(EVENTS, parse_dates=["time_local"])
    rows = table[table["event"] == event].drop(columns="event")
    if steady:
        winter = rows["time_local"].dt.month.isin((1, 2, 3))
        rows.loc[winter, "air_temperature_c"] = rows.loc[winter, "air_temperature_c"].clip(-9.0, -5.0)
        rows.loc[winter, "dew_point_c"] = rows.loc[winter, "air_temperature_c"] - 2.0
    folder.mkdir()
    rows.to_csv(folder / "hours.csv", index=False)
    (folder / "course.toml").write_text(COURSE, encoding="utf-8")
    return folder


def nights(folder: Path, event: int) -> list[Night]:
    """A night of the week before and the three nights after the freeze, with forecasts spoilt as forecasts are."""
    days = [FREEZES[event] + dt.timedelta(days=d) for d in (-9, 1, 2, 3)]
    work = read_work(folder, SMALL)
    end = np.datetime64(work.weather.span[1]).astype("datetime64[h]") + np.timedelta64(48, "h")
    ahead = days_ahead("errors", work.course, lambda: whole_record(work.weather, work.course.id, end))
    return list(backcast_nights(folder, work, days, ahead=ahead))


@pytest.mark.parametrize("event", sorted(FREEZES))
def test_a_wet_low_zone_is_called_within_three_days(tmp_path: Path, event: int) -> None:
    after = nights(course(tmp_path / "course", event), event)[1:]
    called = [c["zone"] for night in after for c in night.record["calls"] if c["since"] == night.record["on"]]
    assert "3 low" in called


def test_steady_cold_is_not_called(tmp_path: Path) -> None:
    for night in nights(course(tmp_path / "course", 1, steady=True), 1):
        assert night.record["calls"] == []
