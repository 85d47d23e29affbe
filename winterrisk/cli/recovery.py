"""`winterrisk recovery`: what to do about dead turf, and when a green may be played again."""

import json as text_json
import sys
from pathlib import Path
from typing import Annotated

import typer


def recovery(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    on: Annotated[str, typer.Option(help="date, as 2025-03-14; today when left out")] = "",
    why: Annotated[
        bool, typer.Option("--why", help="also replay the hurt zones with one thing changed")
    ] = False,
    clear_on: Annotated[
        str, typer.Option(help="with --why: day on which snow and ice are cleared in the replay")
    ] = "",
    json: Annotated[bool, typer.Option("--json", help="print the plan as one JSON object")] = False,
) -> None:
    """Say for each hurt zone how to bring it back, what to order by when, and when its green may be played.

    Knows what was known at 04:00 of the date. Days are ranges over the past springs of the station's record.
    Writes reports/recovery-DATE/recovery.html and recovery.json. Rules and grass: [reopening] and [repair] of
    course.toml. --why replays the winter with more sun, better drainage, less annual bluegrass, a clearing, a
    cover, or no snow banked, and ranks what would have helped.

    Example: winterrisk recovery my_course --on 2025-03-14 --why
    """
    from winterrisk import spring as steps
    from winterrisk.cli.words import day_of
    from winterrisk.nightly import CANNOT_SAY
    from winterrisk.reports.recovery_words import summary_lines

    out = sys.stderr if json else sys.stdout
    told = steps.run(
        folder,
        day_of(on) if on else None,
        why=why or bool(clear_on),
        clear_on=day_of(clear_on, "--clear-on") if clear_on else None,
        tell=lambda line: print(line, file=sys.stderr, flush=True),
    )
    if json:
        print(text_json.dumps(told.record, indent=2, ensure_ascii=False))
    for line in (*summary_lines(told.record), str(told.folder / "recovery.html" if told.folder else "")):
        print(line, file=out)
    if told.record["cannot_say"]:
        raise typer.Exit(CANNOT_SAY)
