"""`winterrisk weather`: what is known of the weather, from where, how old, what was filled, which checks fired."""

import json as text_json
import sys
from pathlib import Path
from typing import Annotated

import typer


def weather(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    on: Annotated[
        str, typer.Option(help="as it was known on the night of a date, as 2025-02-26; now when left out")
    ] = "",
    choose: Annotated[
        bool, typer.Option("--choose", help="choose stations of the online history; written into course.toml")
    ] = False,
    again: Annotated[
        bool, typer.Option("--again", help="with --choose: replace the stations that were chosen before")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="print everything as one JSON object")] = False,
) -> None:
    """Say how good the weather of a course is: sources, age, gaps, doubts; with a picture in reports/weather.png.

    Without --on what is new is taken into the archive first.

    Exit codes: 0 done, 2 input refused, 3 too little is known to judge a zone.

    Example: winterrisk weather my_course --on 2025-02-26
    """
    import datetime as dt

    import numpy as np
    import pandas as pd

    from winterrisk.cli.words import day_of
    from winterrisk.course import night_instant, read_course
    from winterrisk.nightly import CANNOT_SAY, Settings, possible_winters
    from winterrisk.reports.weather_figure import weather_figure
    from winterrisk.reports.weather_record import weather_lines, weather_record
    from winterrisk.reports.write_picture import write_picture
    from winterrisk.weather.get_course_weather import choose_stations, receive_course_weather
    from winterrisk.weather.read_course_weather import read_course_weather

    def tell(line: str) -> None:
        print(line, file=sys.stderr if json else sys.stdout, flush=True)

    course = read_course(folder)
    clock = np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")
    today = pd.Timestamp(clock).tz_localize("UTC").tz_convert(course.timezone).date()
    day = day_of(on) if on else today
    if choose:
        at = night_instant(day, course.timezone) if on else clock
        for line in choose_stations(course, at, again=again):
            tell(line)
        course = read_course(folder)
    unreceived = () if on else receive_course_weather(course, clock)
    received = read_course_weather(course)
    night = possible_winters(received, course, day, Settings(n_paths=1))
    record = weather_record(
        course=course.place.name,
        on=day.isoformat(),
        sources=night.sources,
        winter=night.winter,
        share=night.share,
        until=night.until,
        age_hours=night.age_hours,
        found=night.found,
        timezone=course.timezone,
    )
    for line in dict.fromkeys((*unreceived, *night.missed)):
        tell(line)
    if json:
        print(text_json.dumps(record, indent=2, ensure_ascii=False))
    else:
        print("\n".join(weather_lines(record)))
    invented = " (invented)" if course.place.invented else ""
    title = f"{course.place.name}{invented}, weather known to {record['until_local']}"
    figure = weather_figure(night.winter, record["checks"], title=title, timezone=course.timezone)
    tell(f"picture: {write_picture(course.folder, figure, 'weather')}")
    if night.blind:
        tell(f"CANNOT SAY: {night.blind}")
        raise typer.Exit(CANNOT_SAY)
