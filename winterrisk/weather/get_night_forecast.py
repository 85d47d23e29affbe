"""The forecast of a night: fetched until the night must speak, kept, and read back as it was known."""

import datetime as dt
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import Course
from winterrisk.weather.get_forecast import get_forecast
from winterrisk.weather.read_forecasts import read_known_forecast, read_last_answers
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.write_forecast import write_forecast

LEAST_PATIENCE, MOST_PATIENCE = 30.0, 2 * 3600.0
"""Shortest and longest time for which a failed request is repeated [s] (judged)."""
SLACK: Final = np.timedelta64(15, "m")
"""Time after `speak_by` by which the last answer of a night is in (judged)."""


def receive_forecast(course: Course, clock: np.datetime64, *, base: str | None = None) -> tuple[str, ...]:
    """Fetch the forecast that the course file names and keep it; a line where that failed.

    A request that fails is repeated until `forecast.speak_by`; then the night speaks with what it has.

    Args:
        clock: UTC. base: another start of the service's addresses, https or loopback.
    """
    if course.forecast.source == "none":
        return ()
    today = pd.Timestamp(clock).tz_localize("UTC").tz_convert(course.timezone).date()
    left = float((speaks_at(course, today) - clock) / np.timedelta64(1, "s"))
    patience = min(max(left, LEAST_PATIENCE), MOST_PATIENCE)
    try:
        fetched = get_forecast(course, last=read_last_answers(course.folder), patience=patience, base=base)
    except WeatherError as fault:
        return (str(fault),)
    if fetched is not None:
        write_forecast(course.folder, fetched.forecast, fetched.answers)
    return ()


def speaks_at(course: Course, day: dt.date) -> np.datetime64:
    """UTC at which the night of a day speaks at the latest."""
    local = pd.Timestamp(f"{day} {course.forecast.speak_by}").tz_localize(
        course.timezone, ambiguous=True, nonexistent="shift_forward"
    )
    return np.datetime64(local.tz_convert("UTC").tz_localize(None).to_datetime64())


def read_night_forecast(course: Course, day: dt.date, clock: np.datetime64 | None) -> xr.Dataset | None:
    """The hours ahead as a night knew them: by the time it had to speak, or by `clock` where that is later.

    Args:
        clock: UTC, of a night worked on its own day; None for a past night.
    Raises:
        WeatherError: a kept forecast cannot be read.
    """
    if course.forecast.source == "none":
        return None
    known = speaks_at(course, day) + SLACK
    if clock is not None:
        known = max(known, np.datetime64(clock) + SLACK)
    return read_known_forecast(course.folder, known)
