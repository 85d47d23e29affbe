"""Invented places and station tables, and gaps cut into them."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd


@dataclass(frozen=True)
class Place:
    """An invented place."""

    latitude: float = 46.6
    longitude: float = -95.0
    elevation: float = 380.0
    timezone: str = "America/Winnipeg"
    near_water: bool = False


def invented_hours(first: str, last: str, seed: int = 7) -> pd.DataFrame:
    """Invented hourly weather of a cold inland place: yearly and daily course, memory, wet blocks, sun."""
    rng = np.random.default_rng(seed)
    index = pd.date_range(first, last, freq="h", name="time")
    year = np.cos(2 * np.pi * (index.day_of_year.to_numpy() - 201) / 365.25)
    local = (index.hour.to_numpy() - 6.33) % 24
    day = np.cos(2 * np.pi * (local - 15) / 24)
    noise = np.empty(len(index))
    noise[0] = 0.0
    kicks = rng.standard_normal(len(index)) * 4.0 * np.sqrt(1 - 0.97**2)
    for i in range(1, len(index)):
        noise[i] = 0.97 * noise[i - 1] + kicks[i]
    temperature = 4.5 + 17.0 * year + 4.0 * day + noise
    wet = np.repeat(rng.random(len(index) // 6 + 1) < 0.08, 6)[: len(index)]
    sun = np.maximum(
        np.sin(np.radians(46.6)) * np.sin(0.4 * year) + 0.63 * np.cos(2 * np.pi * (local - 12) / 24), 0
    )
    return pd.DataFrame(
        {
            "air_temperature": temperature.round(1),
            "dew_point": (temperature - 1.0 - 4.0 * rng.random(len(index))).round(1),
            "wind_speed": (1.0 + 4.0 * rng.random(len(index))).round(1),
            "precipitation": np.where(wet, rng.gamma(1.0, 0.8, len(index)), 0.0).round(1),
            "shortwave_down": (700 * sun * (0.3 + 0.7 * rng.random())).round(0),
            "snow_depth": np.where(temperature < -5, 0.2, 0.0),
        },
        index=index,
    )


def write_station(folder: Path, frame: pd.DataFrame, name: str = "station.csv") -> Path:
    """A station file with a comment line, as people keep it."""
    path = folder / name
    path.write_text("# invented weather\n" + frame.to_csv(date_format="%Y-%m-%dT%H:%M"))
    return path


def with_gap(frame: pd.DataFrame, first: str, last: str, *columns: str) -> pd.DataFrame:
    """The table with these columns (all, where none is named) missing from `first` to `last`."""
    out = frame.copy()
    out.loc[first:last, list(columns) or list(frame.columns)] = np.nan
    return out
