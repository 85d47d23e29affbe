"""The day on which something can be done: somebody works, and it is not too cold to stand there."""

import datetime as dt

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course import WEEKDAYS, Course

TOO_COLD = -22.0
"""Mean air temperature of the working hours below which nobody is sent out [degC] (judged)."""
LOOK_AHEAD = 7
WORKING_HOURS = (8, 16)


def next_workday(course: Course, weather: xr.Dataset, on: dt.date) -> dt.date:
    """The first day from `on` on which the crew works and the air is not too cold; at worst the first workday.

    Args:
        weather (time[, member]): the hours ahead, as far as they are known or possible.
    """
    days = workdays(course, on)
    for day in days:
        mean = _working_temperature(course, weather, day)
        if mean is None or mean > TOO_COLD:
            return day
    return days[0]


def workdays(course: Course, on: dt.date) -> list[dt.date]:
    """Days of the week from `on` on which the crew works; at least one, as a course file names one."""
    days = [on + dt.timedelta(days=i) for i in range(LOOK_AHEAD)]
    return [day for day in days if WEEKDAYS[day.weekday()] in course.crew.days]


def _working_temperature(course: Course, weather: xr.Dataset, day: dt.date) -> float | None:
    zone = course.place.timezone
    first, last = (pd.Timestamp(day) + pd.Timedelta(hours=h) for h in WORKING_HOURS)
    start, end = (t.tz_localize(zone).tz_convert("UTC").tz_localize(None) for t in (first, last))
    time = weather["time"].to_numpy()
    chosen = (time >= np.datetime64(start)) & (time < np.datetime64(end))
    if not chosen.any():
        return None
    return float(weather["air_temperature"].isel(time=np.flatnonzero(chosen)).mean())
