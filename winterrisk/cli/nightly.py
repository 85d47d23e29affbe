"""`winterrisk nightly`: tonight's call."""

import json as text_json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer


def nightly(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    on: Annotated[str, typer.Option(help="night to work, as 2025-02-26; today when left out")] = "",
    hindsight: Annotated[bool, typer.Option("--hindsight", help="use also what became known later")] = False,
    send: Annotated[
        bool | None,
        typer.Option(
            "--send/--no-send", help="message the people of the course file; with --on only when asked"
        ),
    ] = None,
    hours: Annotated[
        float, typer.Option(help="also say what a crew of so many hours does today, most gain an hour first")
    ] = 0.0,
    field_map: Annotated[
        Path | None, typer.Option("--map", help="write a simple map of the plugs to cut, .png or .pdf")
    ] = None,
    if_due: Annotated[
        bool,
        typer.Option(
            "--if-due", help="where tonight's call was worked already, only send what waits (for a schedule)"
        ),
    ] = False,
    allow_local: Annotated[
        bool,
        typer.Option("--allow-local", help="messages also unencrypted, or to hosts of the own network"),
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="print the night as one JSON object")] = False,
) -> None:
    """Say which greens to look at and where to pull plugs, and write nights/DATE/ in the course folder.

    In July there is nothing to work: it says so and ends with 0 (with --json the object is null).

    Exit codes: 0 done, 2 input refused, 3 cannot say for some zone, 4 a message undelivered.

    Example: winterrisk nightly my_course --on 2025-02-26 --no-send
    """
    from winterrisk import nightly as steps
    from winterrisk.cli.words import day_of, map_file
    from winterrisk.course import read_course
    from winterrisk.recovery.changes import DRAINED
    from winterrisk.reports.work_lines import work_lines
    from winterrisk.reports.write_field_map import write_field_map

    def tell(line: str) -> None:
        print(line, file=sys.stderr if json else sys.stdout, flush=True)

    sends = not on if send is None else send
    if if_due and not on and not _due(folder):
        _send_waiting(folder, tell, allow_local=allow_local, send=sends)
        return
    day = day_of(on) if on else None
    if field_map is not None:
        map_file(field_map)
    try:
        night = steps.run(folder, day, send=sends, hindsight=hindsight, tell=tell, allow_local=allow_local)
    except steps.NoWinter as summer:
        fault = summer.faults[0]
        said = f"{fault.where}: {fault.found}; expected {fault.expected}"
        print(said, file=sys.stderr, flush=True)
        if json:
            print("null")
        _send_waiting(folder, tell, allow_local=allow_local, send=sends and not on)
        return
    if json:
        print(text_json.dumps(night.record, indent=2, ensure_ascii=not _takes_all()))
    else:
        print(night.alert, end="")
    if hours > 0:
        ponding = {view.label for view in read_course(folder).zones() if view.holds_water > DRAINED}
        tell("\n".join(work_lines(night.record, hours, ponding)))
    if field_map is not None:
        written = write_field_map(night.record, map_file(field_map))
        tell(f"map of the plugs in {written}" if written else "no map: no plugs are called")
    tell(night.summary)
    if night.exit_code:
        raise typer.Exit(night.exit_code)


def _send_waiting(folder: Path, tell: Callable[[str], None], *, allow_local: bool, send: bool) -> None:
    """Send what waits, on an hour on which no night is worked."""
    from winterrisk import nightly as steps

    if send and steps.send_waiting(folder, tell=tell, allow_local=allow_local).undelivered:
        raise typer.Exit(steps.UNDELIVERED)


def _takes_all() -> bool:
    """Whether standard output takes every letter; else they are written as JSON can."""
    return (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"


def _due(folder: Path) -> bool:
    import datetime as dt

    from winterrisk.course import read_course
    from winterrisk.watch.due import is_due
    from winterrisk.watch.read_log import read_log

    course = read_course(folder)
    now = dt.datetime.now(dt.UTC)
    today = now.astimezone(course.zoneinfo).date()
    return is_due(read_log(course.folder), now.replace(tzinfo=None), today, course.timezone)
