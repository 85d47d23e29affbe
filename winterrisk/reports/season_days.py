"""Days of a season: local dates of the book's times, and the rows that speak for a zone."""

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from winterrisk.course import Course, ZoneView, speaks_for, winter_end, winter_start
from winterrisk.course.spoken_for import EVERYWHERE


def local_date(time: pd.Timestamp | np.datetime64, timezone: str) -> dt.date:
    """Local date of a UTC time."""
    stamp = pd.Timestamp(time).tz_localize(dt.UTC)
    return stamp.tz_convert(ZoneInfo(timezone)).date()


def of_winter(frame: pd.DataFrame, column: str, winter: str, timezone: str) -> pd.DataFrame:
    """The rows whose time falls on a local day of the winter, in order of time, with that day as `day`."""
    days = [local_date(time, timezone) for time in frame[column]]
    inside = [winter_start(winter) <= day <= winter_end(winter) for day in days]
    dated = frame.assign(day=pd.Series(days, index=frame.index, dtype=object))
    return dated[np.array(inside, dtype=bool)].sort_values(column, kind="stable")


def of_zone(frame: pd.DataFrame, zone: ZoneView) -> pd.DataFrame:
    """The rows that speak for a zone: its own, those of its whole area and of the whole course."""
    return frame[speaks_for(frame, zone.label)]


def unknown_places(
    course: Course, observations: pd.DataFrame, rounds: Iterable[Mapping[str, Any]], surveys: pd.DataFrame
) -> list[str]:
    """Labels that rows of the winter speak of and the course no longer has: they stand nowhere else."""
    known = {EVERYWHERE, *course.zone_labels(), *(area.name for area in course.areas)}
    named = [*observations["zone"], *(row["zone"] for row in rounds), *surveys["zone"]]
    return sorted({str(zone) for zone in named} - known)
