"""Takes what is new of a course's weather into its archive: from its files, and from the online history."""

import datetime as dt
from typing import TYPE_CHECKING, Final

import numpy as np
import xarray as xr

from winterrisk.weather.archive import Archive, open_archive
from winterrisk.weather.checks import future_rows, without_bad
from winterrisk.weather.known import interval_ends
from winterrisk.weather.read_course_station import read_station_file
from winterrisk.weather.read_course_weather import OWN, online_name, second_name
from winterrisk.weather.refused import WeatherError

if TYPE_CHECKING:
    from winterrisk.course import Course

MAY_CHANGE: Final = np.timedelta64(60, "D")
"""How long the history still corrects what it published (judged)."""
NO_SUCH_YEAR: Final = "has no data for that year"


def receive_course_weather(course: "Course", clock: np.datetime64) -> tuple[str, ...]:
    """Take in what each source has now; lines that say what could not be had.

    A source that fails is tried again the next night; what was received before stays as it is.

    Args:
        clock: UTC, when the values count as known; the first delivery of a file is a history whose values
            count as known an hour after each.
    Raises:
        WeatherError: the archive cannot be written.
    """
    missed: list[str] = []
    with open_archive(course.folder) as archive:
        if course.station.source == "meteostat":
            missed += _online(archive, course, clock)
        else:
            missed += _file(archive, course, OWN, course.station, clock)
        for number, file in enumerate(course.station.second, 1):
            missed += _file(archive, course, second_name(number), file, clock)
    return tuple(missed)


def _file(archive: Archive, course: "Course", name: str, station: object, clock: np.datetime64) -> list[str]:
    try:
        raw: xr.Dataset = read_station_file(course, station)  # type: ignore[arg-type]
    except WeatherError as fault:
        return [] if archive.received(name) is None else [str(fault)]
    late = future_rows(raw, clock)
    past = without_bad(raw, late).isel(time=np.flatnonzero(interval_ends(raw) <= clock))
    if past.sizes["time"]:
        archive.receive(name, past, clock, first_assumed=True)
    return [str(line) for line in late["words"]]


def _online(archive: Archive, course: "Course", clock: np.datetime64) -> list[str]:
    from winterrisk.weather.get_meteostat import OnlineStation, get_history

    missed: list[str] = []
    for row in {(row.id, row.step): row for row in course.station.chosen}.values():
        name = online_name(row.id, row.step)
        kept = archive.received(name)
        begins = course.station.since if kept is None else _year_to_ask(kept.times.max())
        station = OnlineStation(row.id, row.name, row.latitude, row.longitude, row.elevation, row.step)
        wanted = tuple(r.variable for r in course.station.chosen if (r.id, r.step) == (row.id, row.step))
        fetched = get_history(station, begins, clock, timezone=course.timezone, wanted=wanted)
        missed += [line for line in fetched.failed if kept is not None or not _never_had(line)]
        if fetched.raw is not None:
            archive.receive(name, fetched.raw, clock, first_assumed=True)
    return missed


def _year_to_ask(last: np.datetime64) -> int:
    """The year from which to ask again: the last one on record, and the one before it in its first weeks."""
    return int(str(last - MAY_CHANGE)[:4])


def _never_had(line: str) -> bool:
    """Whether a year is missing because the station has none, as before it began."""
    return NO_SUCH_YEAR in line


def choose_stations(course: "Course", clock: np.datetime64, *, again: bool = False) -> tuple[str, ...]:
    """Lines on the stations chosen from the online history, which stand in the course file from now on.

    The last winters of the nearest ones are fetched and counted, for what the history says of itself lags.

    Args:
        clock: UTC. again: whether stations that were chosen before may be replaced.
    Raises:
        WeatherError: no suitable station, or no answer. CourseFileError: the course file cannot be written, or
            stations stand in it already.
    """
    from dataclasses import asdict

    from winterrisk.course.write_chosen import write_chosen
    from winterrisk.weather.get_completeness import get_completeness
    from winterrisk.weather.get_meteostat import get_station_table
    from winterrisk.weather.station_choice import chosen_stations

    height = course.place.elevation
    table, faults = get_completeness(get_station_table(course.place), height, clock, timezone=course.timezone)
    chosen = chosen_stations(table, height, clock.astype("datetime64[D]").astype(dt.date))
    write_chosen(course.folder, [asdict(choice) for choice in chosen], replace=again)
    said = (f"{c.variable}: {c.name} ({c.id}), {c.step}: {c.reason}" for c in chosen)
    return (*said, *map(str, faults))
