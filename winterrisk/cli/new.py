"""`winterrisk new`: a commented starter of the course file in a new folder."""

from pathlib import Path
from shlex import quote
from typing import Annotated

import typer

from winterrisk.science.faults import Fault, Refused


def new(
    folder: Annotated[Path, typer.Argument(help="Course folder; made where it is missing.")],
    name: Annotated[str, typer.Option(help="Name of the course.")] = "",
    latitude: Annotated[float | None, typer.Option(help="Degrees north.")] = None,
    longitude: Annotated[
        float | None, typer.Option(help="Degrees east; west of Greenwich is negative.")
    ] = None,
    elevation: Annotated[float | None, typer.Option(help="Height above the sea in m.")] = None,
    timezone: Annotated[str, typer.Option(help="Time zone name, as America/Toronto.")] = "",
    preset: Annotated[str, typer.Option(help="Region whose usual answers are filled in.")] = "",
    greens: Annotated[int, typer.Option(help="Number of greens.", min=1, max=60)] = 2,
) -> None:
    """Write a commented starter of course.toml into FOLDER; never over an existing one.

    Give the place with all five options, or none of them: then an invented place is filled in and marked.

    Example: winterrisk new my_course --name "North Hill" --latitude 46.2 --longitude -94.3 --elevation 370
    --timezone America/Chicago --preset "northern Plains" --greens 9
    """
    from winterrisk.course import course_from_text, starter, write_course

    place = {
        "name": name or None,
        "latitude": latitude,
        "longitude": longitude,
        "elevation": elevation,
        "timezone": timezone or None,
    }
    given = {key: value for key, value in place.items() if value is not None}
    if given and len(given) < len(place):
        lacking = ", ".join(f"--{key}" for key in place if key not in given)
        raise Refused(
            Fault("the place", f"only {', '.join(f'--{key}' for key in given)}", "all five", f"add {lacking}")
        )
    text = starter(given or None, preset or None, greens)
    course = course_from_text(text, folder)
    file = write_course(folder, text)
    fill_in = "the place, greens and zones" if course.place.invented else "the greens and zones"
    print(f"wrote {file}: fill in {fill_in}, put {course.station.file} beside it, then")
    print(f"run `winterrisk check {quote(str(folder))}`")
