"""The preview of `winterrisk tune`: past nights under both thresholds, in words and a picture."""

from dataclasses import replace
from pathlib import Path

import typer

from winterrisk.backcast import nights_of, nights_under, read_work
from winterrisk.calibration import PastNights, Proposal, past_nights, preview, preview_text
from winterrisk.cli.words import winter_named
from winterrisk.course import winter_of
from winterrisk.nightly import Night
from winterrisk.reports.preview_figure import preview_figure
from winterrisk.reports.write_picture import write_picture
from winterrisk.science.faults import Fault, Refused

PREVIEWED = 2
"""Latest winters with plugs or surveys that a preview replays where none is named (judged: it takes a minute)."""


def show_preview(folder: Path, proposal: Proposal, winters: list[str] | None, every: int) -> None:
    """Print what a proposal would have changed in past nights, and draw it.

    Raises:
        Refused: no winter is named and none has plugs or surveys, or a named one has no night on record.
    """
    work = read_work(folder)
    record = work.record
    cut = {winter_of(day) for day in record.plugs["cut"].dt.date}
    on_record = sorted(cut | set(record.surveys["winter"]))
    names = [winter_named(w) for w in winters] if winters else on_record[-PREVIEWED:]
    if not names:
        move = "name one with --winter, as 2024-25"
        raise Refused(Fault("preview", "no winter with plugs or surveys", "a winter to look back on", move))
    first, last = (day.astype("datetime64[D]").item() for day in work.weather.span)
    nights = {name: [on for on in nights_of(name, every) if first < on <= last] for name in names}
    bare = [name for name, days in nights.items() if not days]
    if bare:
        move = "choose a winter of the record"
        found = f"no weather for {', '.join(bare)}"
        raise Refused(Fault("--winter", found, f"a winter between {first} and {last}", move))
    # both sides weigh the plugs of each night alike, so that only the thresholds differ
    both = (work.thresholds, replace(proposal.thresholds, used=work.thresholds.used))
    typer.echo(f"replaying {', '.join(names)}, every {every} days, under both thresholds ...", err=True)
    told: tuple[list[Night], list[Night]] = ([], [])
    for days in nights.values():
        for pair in nights_under(folder, work, days, both):
            for side, night in zip(told, pair, strict=True):
                side.append(night)
    now, then = (_tables(side) for side in told)
    shown = preview(now, then, record.surveys)
    typer.echo(preview_text(shown))
    title = f"{work.course.place.name}: {work.thresholds.version} (now) and the proposal (then)"
    typer.echo(f"picture: {write_picture(work.course.folder, preview_figure(shown, title), 'preview')}")
    for reason in proposal.refusals:
        typer.echo(f"should NOT be adopted: {reason}")
    typer.echo(f'Next: winterrisk tune {folder} adopt --who NAME --why "..."')


def _tables(nights: list[Night]) -> PastNights:
    return past_nights(night.record for night in nights)
