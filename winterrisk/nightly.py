"""Tonight's call: the winter replayed from its weather and the book, the outlook, the plan, the words."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import xarray as xr

from winterrisk import hazards, reports, risk, sampling
from winterrisk.book import Record, events_of_zones, read_record, record_night
from winterrisk.column import Members, members, zones_days
from winterrisk.course import Course, night_instant, read_course, winter_of
from winterrisk.thresholds import Draws, Thresholds
from winterrisk.weather import NightWeather, night_weather, read_course_station

CANNOT_SAY, UNDELIVERED, DONE = 3, 4, 0

__all__ = ["Night", "Settings", "members", "run"]


@dataclass(frozen=True)
class Settings:
    """How many possible winters and thresholds a night works with."""

    n_ground: int = 8
    n_paths: int = 5
    n_draws: int = 200


@dataclass(frozen=True)
class Night:
    """A night worked out: the record, the words, and what they were worked from."""

    record: dict[str, Any]
    alert: str
    outlook: xr.Dataset
    winter_days: xr.Dataset
    folder: Path | None
    exit_code: int
