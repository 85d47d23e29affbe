"""The command line: each command parses, makes one library call, and says the result.

Exit codes, worst first: 1 our bug, 2 input refused, 4 a message undelivered, 3 cannot say for some zone, 0 done.
"""

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
    season,
    send,
    skill,
    survey,
    tune,
    weather,
    what_if,
)
from winterrisk.cli.negative_numbers import NegativeNumbers
from winterrisk.science.faults import Refused

REFUSED = 2

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
app.command("what-if")(what_if.what_if)


def main() -> None:
    """Run the command line; refused input is one line a fault on stderr and exit code 2."""
    try:
        app()
    except Refused as refusal:
        print(refusal, file=sys.stderr)
        sys.exit(REFUSED)
