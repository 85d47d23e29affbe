"""The station that a course names, read as its course file says."""

import hashlib
from typing import TYPE_CHECKING, Final

import xarray as xr

from winterrisk.science.read_capped import capped_bytes
from winterrisk.weather.read_station import read_station

if TYPE_CHECKING:
    from winterrisk.course import Course
    from winterrisk.course.station import StationFile

PLACED = ("latitude", "longitude", "elevation")
"""Where a station stands, as far as the course file says."""

_LAST_READ: Final[dict[str, xr.Dataset]] = {}
MOST_KEPT: Final = 4
"""Files kept in memory: a night reads each twice, once for the archive and once to look at."""


def read_course_station(course: "Course") -> xr.Dataset:
    """Weather of the course's own station file (time) in our units, as `read_station` gives it.

    Args:
        course: its [station] section names the file, columns, units, missing codes and the meaning of times.
    Raises:
        WeatherError: one line a fault.
    """
    return read_station_file(course, course.station)


def read_station_file(course: "Course", station: "StationFile") -> xr.Dataset:
    """Weather of one of the course's station files (time); daily ones carry the hour at which their day ends.

    The same bytes under the same description are worked once.

    Raises:
        WeatherError: one line a fault.
    """
    path = course.folder / station.file
    try:
        content = capped_bytes(path)
    except OSError:
        return _read(course, station)
    told = f"{path.name} {station!r} {course.timezone} {course.gauge.day_ends}"
    key = hashlib.sha256(told.encode() + content).hexdigest()
    raw = _LAST_READ.pop(key, None)
    _LAST_READ[key] = _read(course, station) if raw is None else raw
    while len(_LAST_READ) > MOST_KEPT:
        _LAST_READ.pop(next(iter(_LAST_READ)))
    return _LAST_READ[key].copy(deep=True)


def _read(course: "Course", station: "StationFile") -> xr.Dataset:
    columns: dict[str, object] = {"time": station.columns.time, **station.columns.written()}
    raw = read_station(
        course.folder / station.file,
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
    where = {n: getattr(station, n) for n in PLACED if getattr(station, n) is not None}
    ends = {"day_ends": course.gauge.day_ends} if station.step == "daily" else {}
    return raw.assign_attrs({**where, **ends})
