"""Real hourly files: after shifting the label the sun stands right."""

import numpy as np
import pytest

from winterrisk.weather import read_station
from winterrisk.weather.sun_position import sun_position

FILES = {
    "hour ends at the label": ("cdp_2005_2006_hourly.csv", "end", "rainfall_mm", (45.30, 5.77, 1325.0)),
    "hour is centred on the label": (
        "sodankyla_2017_2018_hourly.csv",
        "centre",
        "precip_mm_day_spread_evenly",
        (67.367, 26.629, 179.0),
    ),
}


@pytest.mark.parametrize("case", FILES)
def test_sun_weighted_hour_is_solar_noon(field_data, case):
    """Spring mean of the shortwave-weighted hour against the sun's own: within 0.3 h."""
    name, label, rain, where = FILES[case]
    raw = read_station(
        field_data / name,
        label=label,
        time="time_utc",
        air_temperature="t_air_c",
        precipitation=rain,
        shortwave_down="sw_in_wm2",
    )
    spring = raw.sel(time=raw["time"].dt.month.isin([3, 4, 5, 6]))
    times = spring["time"].to_numpy()
    middle = (times - times.astype("datetime64[D]")) / np.timedelta64(1, "h") + 0.5
    elevation, _ = sun_position(times, *where)
    sun = np.nan_to_num(spring["shortwave_down"].to_numpy())
    height = np.maximum(np.sin(np.radians(elevation)), 0.0)
    measured_noon = np.sum(sun * middle) / np.sum(sun)
    true_noon = np.sum(height * middle) / np.sum(height)
    assert measured_noon == pytest.approx(true_noon, abs=0.3)
