"""Records of gauges, thermometers and second stations that are wrong in known ways."""

from pathlib import Path

import numpy as np
import pandas as pd
import xarray as xr
from scipy.signal import lfilter
from tests_weather_files import Place

from winterrisk.weather import read_station

ZONE = "America/Winnipeg"
ALPINE = Place(45.30, 5.77, 1325.0, "Europe/Paris")
BOREAL = Place(67.367, 26.629, 179.0, "Europe/Helsinki")


def dataset(frame: pd.DataFrame, **attrs: object) -> xr.Dataset:
    """A raw hourly record of a table."""
    data = {str(c): ("time", frame[c].to_numpy(dtype=float)) for c in frame}
    times = frame.index.to_numpy().astype("datetime64[ns]")
    return xr.Dataset(data, coords={"time": times}, attrs={"step": "hourly", "timezone": ZONE, **attrs})


def drift(count: int, spread: float, memory: float, seed: int) -> np.ndarray:
    """A first-order series (hour) with a spread and a memory from hour to hour."""
    white = np.random.default_rng(seed).standard_normal(count + 1000)
    return spread * lfilter([np.sqrt(1 - memory**2)], [1.0, -memory], white)[1000:]


def alpine(folder: Path) -> tuple[xr.Dataset, np.ndarray]:
    """The alpine winter with all its precipitation and depth, and the share of snow that was measured (time)."""
    name = folder / "cdp_2005_2006_hourly.csv"
    raw = read_station(
        name, time="time_utc", label="end", air_temperature="t_air_c", wind_speed="wind_ms",
        shortwave_down="sw_in_wm2", snow_depth="obs_snow_depth_m", precipitation="rainfall_mm",
        relative_humidity={"column": "rh_pct", "unit": "percent"}, station="alpine",
    )  # fmt: skip
    table = pd.read_csv(name).iloc[: raw.sizes["time"]]
    snow = table["snowfall_mm"].fillna(0.0).to_numpy()
    total = snow + table["rainfall_mm"].fillna(0.0).to_numpy()
    share = np.where(total > 0, snow / np.maximum(total, 1e-9), np.nan)
    return raw.assign(precipitation=("time", total)), share


def boreal(folder: Path) -> xr.Dataset:
    """The boreal winter with its snow depth."""
    return read_station(
        folder / "sodankyla_2017_2018_hourly.csv", time="time_utc", label="centre", air_temperature="t_air_c",
        wind_speed="wind_ms", shortwave_down="sw_in_wm2", precipitation="precip_mm_day_spread_evenly",
        snow_depth={"column": "obs_snow_depth_cm", "unit": "cm"},
        relative_humidity={"column": "rh_pct", "unit": "percent"}, station="boreal",
    )  # fmt: skip


def unheated(water: np.ndarray, temperature: np.ndarray, holds: float = 15.0) -> np.ndarray:
    """What a gauge without heating reports (hour) [kg m-2]: snow waits in the funnel, up to what it holds, and
    melts at half a millimetre an hour and degree."""
    held, out = 0.0, np.zeros(len(water))
    for hour, (falls, air) in enumerate(zip(water, temperature, strict=True)):
        if air < 0.5:
            held = min(held + falls, holds)
        else:
            melt = min(held, 0.5 * air)
            out[hour], held = falls + melt, held - melt
    return out
