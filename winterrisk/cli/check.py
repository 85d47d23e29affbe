"""`winterrisk check`: what is wrong, missing or doubtful in a course folder."""

from pathlib import Path
from typing import Annotated

import typer


def check(folder: Annotated[Path, typer.Argument(help="Course folder, with course.toml in it.")]) -> None:
    """Say every fault of the course file and its weather record, or what is missing or doubtful in them.

    One line each, with the next move. Exit code 2 for a fault, 0 where the course can be worked.

    Example: winterrisk check my_course
    """
    from winterrisk.book import refused_notes
    from winterrisk.course import Doubt, doubts, read_course, record_doubts
    from winterrisk.recovery.read_cover_doubts import cover_doubts

    course = read_course(folder)
    areas, zones = len(course.areas), len(course.zones())
    print(f"{course.place.name}: {areas} areas, {zones} zones, course.toml read without a fault")
    for doubt in doubts(course):
        print(doubt)
    for line in refused_notes(course.folder):
        print(line)
    if course.station_path.exists():
        from winterrisk.weather import read_course_station

        for doubt in record_doubts(read_course_station(course)):
            print(doubt)
        for doubt in cover_doubts(course):
            print(doubt)
    else:
        print(
            Doubt(
                "station.file", f"no file {course.station_path}", "put the record there, or correct the name"
            )
        )
