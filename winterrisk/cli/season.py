"""`winterrisk season`: the report of a winter."""

import json as text_json
import sys
from pathlib import Path
from typing import Annotated

import typer


def season(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    winter: Annotated[str, typer.Argument(help="winter, as 2024-25", metavar="WINTER")],
    json: Annotated[bool, typer.Option("--json", help="print the season as one JSON object")] = False,
) -> None:
    """Tell a winter on one page: what was said, done and found, zone by zone, for owner and superintendent.

    Writes reports/season-WINTER/season.html and season.json in the course folder. Nothing is worked again:
    the nights stand as they were said.

    Example: winterrisk season my_course 2024-25
    """
    from winterrisk import season as report

    told = report.run(folder, winter)
    if json:
        print(text_json.dumps(told.record, indent=2, ensure_ascii=False))
    out = sys.stderr if json else sys.stdout
    for line in (str(told.path), *told.summary):
        print(line, file=out)
