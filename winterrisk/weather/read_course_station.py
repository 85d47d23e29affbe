"""The station that a course names, read as its course file says."""

from typing import TYPE_CHECKING

import xarray as xr

from winterrisk.weather.read_station import read_station

if TYPE_CHECKING:
    from winterrisk.course import Course


def read_course_station(course: "Course") -> xr.Dataset:
    """Weather of the course's station (time) in our units, as `read_station` gives it.

    Args:
        course: its [station] section names the file, columns, units, missing codes and the meaning of times.
    Raises:
        WeatherError: one line a fault.
    """
    station = course.station
    columns: dict[str, object] = {"time": station.columns.time, **station.columns.written()}
    return read_station(
        course.station_path,
        step=station.step,
        label=station.label,
        utc_offset=station.utc_offset,
        delimiter=station.delimiter,
        missing=station.missing,
        trace=station.trace,
        timezone=course.timezone,
        height_temperature=station.height_temperature,
        height_wind=station.height_wind,
        height_from=station.height_from,
        station=station.name,
        provider=station.provider,
        licence=station.licence,
        **columns,
    )
