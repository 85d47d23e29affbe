"""The weather a course has: from its archive and its files, with the time at which each value was known."""

from typing import TYPE_CHECKING

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.archive import has_archive, open_archive
from winterrisk.weather.course_weather import CourseWeather, Source
from winterrisk.weather.read_course_station import read_course_station, read_station_file
from winterrisk.weather.received import Received, joined
from winterrisk.weather.refused import WeatherError

if TYPE_CHECKING:
    from winterrisk.course import Course

OWN = "station"
"""Name of the course's own file in its archive."""


def second_name(number: int) -> str:
    """Name of a further file of the course in its archive, counted from 1."""
    return f"second {number}"


def online_name(station_id: str, step: str) -> str:
    """Name of a station of the online history in the archive."""
    return f"meteostat {station_id} {step}"


def read_course_weather(course: "Course") -> CourseWeather:
    """All weather of a course: its own record and the further ones.

    What the archive holds counts as known when it was received; hours that a file has beyond it, and a file
    without an archive, count as known an hour after each. A further source that cannot be read is named in
    `missed` and left out; where the own file cannot be read the archive stands in.

    Raises:
        WeatherError: no weather at all.
    """
    kept = _archived(course)
    missed: list[str] = []
    first = _online(course, kept) if course.station.source == "meteostat" else (_own(course, kept, missed),)
    second = []
    for number, file in enumerate(course.station.second, 1):
        try:
            raw = read_station_file(course, file)
        except WeatherError as fault:
            missed.append(str(fault))
            raw = None
        if (got := _with_file(kept.get(second_name(number)), raw, second_name(number))) is not None:
            second.append(Source(got))
    return CourseWeather(
        course.place,
        first,
        tuple(second),
        gauge=course.gauge.kind if course.says("gauge.kind") else "heated",
        downslope=course.station.downslope_winds,
        units=course.place.units,
        key=course.id,
        missed=tuple(missed),
    )


def _archived(course: "Course") -> dict[str, Received]:
    if not has_archive(course.folder):
        return {}
    with open_archive(course.folder, create=False) as archive:
        found = {name: archive.received(name) for name in archive.sources()}
    return {name: got for name, got in found.items() if got is not None}


def _own(course: "Course", kept: dict[str, Received], missed: list[str]) -> Source:
    try:
        raw = read_course_station(course)
    except WeatherError as fault:
        if OWN not in kept:
            raise
        missed.append(f"{fault}; worked from the archive")
        raw = None
    got = _with_file(kept.get(OWN), raw, OWN)
    if got is None:
        raise WeatherError(
            Fault(course.station.file, "no rows", "the station's weather", "check station.file")
        )
    return Source(got)


def _with_file(kept: Received | None, raw: xr.Dataset | None, name: str) -> Received | None:
    """What the archive holds, and the hours of the file after them."""
    if raw is None or kept is None:
        return kept if raw is None else Received.of(raw, source=name)
    later = raw["time"].to_numpy() > np.datetime64(kept.times.max())
    if not later.any() or raw.attrs.get("step") != kept.attrs.get("step"):
        return kept
    return joined((kept, Received.of(raw.isel(time=np.flatnonzero(later)), source=name)))


def _online(course: "Course", kept: dict[str, Received]) -> tuple[Source, ...]:
    by_station: dict[str, list[str]] = {}
    why: dict[str, str] = {}
    for row in course.station.chosen:
        name = online_name(row.id, row.step)
        by_station.setdefault(name, []).append(row.variable)
        why[name] = "; ".join(
            filter(None, (why.get(name), f"{row.variable}: {row.reason}" if row.reason else ""))
        )
    found = [
        Source(kept[name], tuple(variables), why[name])
        for name, variables in by_station.items()
        if name in kept
    ]
    if not found:
        chosen = bool(course.station.chosen)
        lacks = "no weather received yet" if chosen else "no stations chosen yet"
        move = f"run `winterrisk weather {course.folder}" + ("`" if chosen else " --choose`")
        raise WeatherError(Fault("station.source", lacks, "weather in the archive", move))
    return tuple(found)
