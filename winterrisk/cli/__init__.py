"""The command line: each command parses, makes one library call, and says the result.

Exit codes, worst first: 1 our bug, 2 input refused, 4 a message undelivered, 3 cannot say for some zone, 0 done.
"""

import io
import sys

import typer

from winterrisk.cli import (
    backcast,
    check,
    decide,
    new,
    nightly,
    note,
    observe,
    plug,
    recovery,
    schedule,
    season,
    send,
    skill,
    status,
    survey,
    tune,
    weather,
    what_if,
)
from winterrisk.cli.negative_numbers import NegativeNumbers
from winterrisk.science.faults import Refused

OUR_BUG, REFUSED = 1, 2

app = typer.Typer(
    name="winterrisk",
    help="Which frozen greens to look at, where to cut plugs, and what the plugs prove.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

app.command()(new.new)
app.command()(check.check)
app.command()(nightly.nightly)
app.command(cls=NegativeNumbers)(observe.observe)
app.command()(plug.plug)
app.command()(survey.survey)
app.command()(decide.decide)
app.command()(backcast.backcast)
app.command(cls=NegativeNumbers)(tune.tune)
app.command()(send.send)
app.command()(season.season)
app.command()(skill.skill)
app.command()(note.note)
app.command()(recovery.recovery)
app.command()(weather.weather)
app.command()(schedule.schedule)
app.command()(status.status)
app.command("what-if")(what_if.what_if)


def main() -> None:
    """Run the command line; what is refused is one line a fault on stderr and exit code 2, a bug of ours is 1."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except Refused as refusal:
        from winterrisk.course.addresses import redacted

        print(redacted(str(refusal)), file=sys.stderr)
        sys.exit(REFUSED)
    except Exception as fault:
        from winterrisk.cli.last_words import bug, give_up_output, storage_fault
        from winterrisk.course.addresses import redacted

        storage = storage_fault(fault)
        print(bug(fault) if storage is None else redacted(str(storage)), file=sys.stderr)
        give_up_output()
        sys.exit(OUR_BUG if storage is None else REFUSED)
