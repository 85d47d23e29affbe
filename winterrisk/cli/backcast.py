"""`winterrisk backcast`: a past winter, night by night."""

from pathlib import Path
from typing import Annotated

import typer


def backcast(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    winter: Annotated[str, typer.Argument(help="winter to replay, as 2024-25", metavar="WINTER")],
    every: Annotated[int, typer.Option(help="days from one night to the next", min=1)] = 7,
) -> None:
    """Replay a past winter on what was known each night and print the calls; nothing is written.

    Days ahead of each night come from past winters of the record, never from what really followed.

    Example: winterrisk backcast my_course 2024-25 --every 7
    """
    from winterrisk import backcast as steps
    from winterrisk.cli.words import winter_named

    winter_named(winter)
    typer.echo(f"{winter}, every {every} days; ahead of each night: past winters of the record (no forecast)")
    typer.echo(f"{'night':<12}{'zones over a quarter dead by spring':<38}calls")
    work = steps.read_work(folder)
    for night in steps.backcast_nights(folder, work, steps.nights_of(winter, every)):
        said = night.record
        worst = max(said["data"]["zones"], key=lambda z: z["chance"])
        calls = ", ".join(f"{c['kind']} {c['zone']}" for c in said["calls"]) or "-"
        unsaid = " CANNOT SAY" if said["cannot_say"] else ""
        state = f"{worst['zone']} {worst['chance']:.0%} ({worst['low']:.0%}-{worst['high']:.0%})"
        typer.echo(f"{said['on']:<12}{state:<38}{calls}{unsaid}")
