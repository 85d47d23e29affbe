"""`winterrisk send`: what waits in the outbox."""

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    import numpy as np


def send(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    allow_local: Annotated[
        bool, typer.Option("--allow-local", help="also unencrypted posts, and hosts of the own network")
    ] = False,
) -> None:
    """Send the messages that wait: those held by quiet hours, and those that failed and are due for another try.

    Asks the second contact where nobody answered in time. `nightly --if-due`, as a schedule runs it, does so too.

    Exit codes: 0 nothing is owed, 2 input refused, 4 a message undelivered.

    Example: winterrisk send my_course
    """
    from winterrisk import nightly as steps
    from winterrisk.course import read_course

    zone = read_course(folder).zoneinfo

    def clock(instant: "np.datetime64") -> str:
        there = instant.astype("datetime64[s]").item().replace(tzinfo=dt.UTC).astimezone(zone)
        return f"{there:%Y-%m-%d %H:%M}"

    post = steps.send_waiting(folder, tell=lambda line: print(line, flush=True), allow_local=allow_local)
    if post.sent:
        print(f"sent: {len(post.sent)}", flush=True)
    for row in post.resting:
        why = f"{row.headline[:60]!r} ({row.error})"
        print(f"not yet with {row.recipient}: {why}; tried again from {clock(row.next_try)} on", flush=True)
    for row in post.later:
        print(
            f"held for {row.recipient} until {clock(row.not_before)}: {row.headline[:60]!r}; then run this again, "
            "or let a schedule do it",
            flush=True,
        )
    if post == steps.messages.Post():
        print("nothing waits", flush=True)
    if post.undelivered:
        raise typer.Exit(steps.UNDELIVERED)
