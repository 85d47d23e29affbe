"""`winterrisk season`: the report of a winter."""

import json as text_json
import sys
from pathlib import Path
from typing import Annotated

import typer


def season(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    winter: Annotated[str, typer.Argument(help="winter, as 2024-25", metavar="WINTER")],
    quick: Annotated[
        bool,
        typer.Option("--quick", help="without replays: no days lost, no other thresholds, no past winters"),
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="print the season as one JSON object")] = False,
    xlsx: Annotated[
        bool, typer.Option("--xlsx", help="write the tables as sheets of season.xlsx too")
    ] = False,
    no_pdf: Annotated[
        bool, typer.Option("--no-pdf", help="leave season.pdf out, which takes longest")
    ] = False,
) -> None:
    """Tell a winter on one page: what was said, done, found and lost, for owner, superintendent and agronomist.

    Writes season.html, season.pdf, season.json and the tables zones.csv, calls.csv, plugs.csv and seen.csv to
    reports/season-WINTER/ in the course folder. The nights stand as they were said; the winter is replayed for
    what it cost and what other thresholds would have said. Where a report stands there already, what differs
    from it is told.

    Example: winterrisk season my_course 2024-25
    """
    from winterrisk import season as report
    from winterrisk.reports.season_changes import NOTHING
    from winterrisk.reports.season_cost_words import cost_lines

    def tell(line: str) -> None:
        print(line, file=sys.stderr, flush=True)

    told = report.run(folder, winter, quick=quick, pdf=not no_pdf, xlsx=xlsx, tell=tell)
    if json:
        print(text_json.dumps(told.record, indent=2, ensure_ascii=False))
    out = sys.stderr if json else sys.stdout
    for line in (str(told.path), *told.summary, *cost_lines(told.record["cost"])):
        print(line, file=out)
    if told.printed_by:
        print(f"season.pdf: {told.printed_by}", file=out)
    if told.changes == []:
        print(f"Since the report before: {NOTHING}.", file=out)
    elif told.changes:
        print("Since the report before:", *told.changes, sep="\n  ", file=out)
