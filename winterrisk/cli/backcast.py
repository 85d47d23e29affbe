"""`winterrisk backcast`: one past winter night by night, or every winter on record."""

import datetime as dt
import json as text_json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

EVERY_ONE, EVERY_ALL = 7, 14
"""Days from one night to the next: of one winter, of all winters (judged: one costs seconds, all minutes)."""


def backcast(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    winter: Annotated[
        str, typer.Argument(help="winter to replay, as 2024-25; every winter on record when left out")
    ] = "",
    every: Annotated[
        int, typer.Option(help="days from one night to the next; 7 for one winter, 14 for all", min=0)
    ] = 0,
    forecast: Annotated[
        str, typer.Option(help="days ahead of a night: archived (kept then), errors (made afterwards), none")
    ] = "none",
    calls: Annotated[
        bool,
        typer.Option("--calls/--no-calls", help="all winters: also work the nights, which takes longest"),
    ] = True,
    csv: Annotated[Path | None, typer.Option(help="all winters: also write the table to this file")] = None,
    json: Annotated[bool, typer.Option("--json", help="all winters: print one JSON object")] = False,
    cores: Annotated[
        int, typer.Option(help="processes to share the winters over; 0 = every core", min=0)
    ] = 0,
) -> None:
    """Replay past winters: one night by night with its calls, or all on record, worst first and why.

    Nothing is written but the file of --csv. One winter: each night knows what was known then; days ahead of it
    come from a forecast (--forecast) and past winters of the record, never from what really followed. All: each
    winter is also replayed whole, on all that is known today.

    Exit codes: 0 done, also with winters that cannot be judged (they are named); 2 input refused; 3 none can be.

    Example: winterrisk backcast my_course --csv winters.csv
    """
    from winterrisk.backcast.forecasts import RULES
    from winterrisk.cli.words import winter_named
    from winterrisk.science.faults import Fault, Refused

    if forecast not in RULES:
        raise Refused(Fault("--forecast", repr(forecast), ", ".join(RULES), "choose one of them"))
    if not winter:
        _all(folder, every or EVERY_ALL if calls else 0, forecast, csv, json, cores)
        return
    for name, given in (("--csv", csv is not None), ("--json", json), ("--no-calls", not calls)):
        if given:
            raise Refused(Fault(name, f"with {winter}", "all winters", "leave out WINTER, or the option"))
    _one(folder, winter_named(winter), every or EVERY_ONE, forecast)


def _one(folder: Path, winter: str, every: int, forecast: str) -> None:
    import numpy as np

    from winterrisk import backcast as steps
    from winterrisk.backcast.forecasts import WORDS, days_ahead

    typer.echo(f"{winter}, every {every} days\nforecast: {WORDS[forecast]}")
    typer.echo(f"{'night':<12}{'zones over a quarter dead by spring':<38}calls")
    work = steps.read_work(folder)
    now = np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")
    ahead = days_ahead(forecast, work.course, lambda: steps.whole_record(work.weather, work.course.id, now))
    for night in steps.backcast_nights(folder, work, steps.nights_of(winter, every), ahead=ahead):
        said = night.record
        worst = max(said["data"]["zones"], key=lambda z: z["chance"])
        calls = ", ".join(f"{c['kind']} {c['zone']}" for c in said["calls"]) or "-"
        calls += "".join(f"; taken back: {t['was']} {t['zone']}" for t in said["data"]["turned"])
        unsaid = " CANNOT SAY" if said["cannot_say"] else ""
        state = f"{worst['zone']} {worst['chance']:.0%} ({worst['low']:.0%}-{worst['high']:.0%})"
        typer.echo(f"{said['on']:<12}{state:<38}{calls}{unsaid}")


def _all(folder: Path, every: int, forecast: str, csv: Path | None, json: bool, cores: int) -> None:
    from importlib.metadata import version

    from winterrisk.backcast import all_winters
    from winterrisk.backcast.table import frame, lines, record
    from winterrisk.nightly import CANNOT_SAY
    from winterrisk.reports.write_table import write_table
    from winterrisk.science.compiled import CORES

    with _progress() as done:
        told = all_winters(folder, every=every, forecast=forecast, processes=cores or CORES, done=done)
    if csv is not None:
        write_table(frame(told), csv)
    if json:
        print(text_json.dumps(record(told, version("winterrisk")), indent=2, ensure_ascii=False))
    else:
        typer.echo("\n".join(lines(told)))
    if not told.ranked:
        raise typer.Exit(CANNOT_SAY)


@contextmanager
def _progress() -> Iterator[Callable[[str, int, int], None]]:
    """Tells how many winters are worked: a bar on a terminal, else a line each; always on stderr."""
    if not sys.stderr.isatty():
        yield lambda winter, number, count: print(
            f"{winter} worked, {number} of {count}", file=sys.stderr, flush=True
        )
        return
    bar = typer.progressbar(length=1, label="winters", file=sys.stderr, show_pos=True)
    with bar:

        def done(winter: str, number: int, count: int) -> None:
            bar.length, bar.label = count, f"winters ({winter})"
            bar.update(1)

        yield done
