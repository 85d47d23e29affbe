"""`winterrisk send`: what waits in the outbox."""

from pathlib import Path
from typing import Annotated

import typer


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

    post = steps.send_waiting(folder, tell=lambda line: print(line, flush=True), allow_local=allow_local)
    if post.sent:
        print(f"sent: {len(post.sent)}", flush=True)
    for row in post.resting:
        print(
            f"not yet with {row.recipient}: {row.headline[:60]!r} ({row.error}); tried again later",
            flush=True,
        )
    if post.undelivered:
        raise typer.Exit(steps.UNDELIVERED)
