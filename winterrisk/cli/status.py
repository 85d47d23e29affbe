"""`winterrisk status`: one line a course, and an exit code that says how well they are."""

import sys
from pathlib import Path
from typing import Annotated

import typer


def status(
    folders: Annotated[list[Path], typer.Argument(help="course folders", metavar="DIR...")],
) -> None:
    """Say in one line a course how well its nights are: for a watchdog, or for somebody with many courses.

    The exit code is the worst of all: 1 a bug of ours, 2 input refused, 4 a message undelivered, 3 cannot say for some
    zone or no night for 30 hours (November to May), 0 well.

    Example: winterrisk status my_course other_course || echo "look into it"
    """
    import datetime as dt

    from winterrisk.course.addresses import redacted
    from winterrisk.watch.read_status import read_status
    from winterrisk.watch.status import exit_code, summary, worst

    now = dt.datetime.now(dt.UTC).replace(tzinfo=None)
    codes = []
    for folder in folders:
        try:
            state = read_status(folder, now)
            codes.append(exit_code(state))
            line = summary(state)
        except Exception as fault:
            codes.append(1)
            line = f"{folder}: FAILED. a bug of ours: {type(fault).__name__} {fault}"
        print(" ".join(redacted(line).split()), flush=True)
    if code := worst(codes):
        sys.exit(code)
