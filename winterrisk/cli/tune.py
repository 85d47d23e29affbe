"""`winterrisk tune`: thresholds learned from plugs and surveys, looked at, adopted, traced and taken back."""

import datetime as dt
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from winterrisk.cli.negative_numbers import number

if TYPE_CHECKING:
    from winterrisk.calibration import Proposal


class Action(StrEnum):
    """What to do with the thresholds."""

    fit = "fit"
    preview = "preview"
    adopt = "adopt"
    set = "set"
    history = "history"
    undo = "undo"
    compare = "compare"


def tune(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    action: Annotated[Action, typer.Argument(help="one of " + ", ".join(Action), metavar="ACTION")],
    name: Annotated[str, typer.Argument(help="set: the threshold's name", metavar="[NAME]")] = "",
    value: Annotated[
        float | None, typer.Argument(help="set: its value", metavar="[VALUE]", parser=number)
    ] = None,
    who: Annotated[str, typer.Option(help="adopt, undo: the person who decides")] = "",
    why: Annotated[str, typer.Option(help="adopt, set, undo: the reason, kept for good")] = "",
    override: Annotated[
        str, typer.Option(help="adopt: written reason to adopt a refused fit all the same")
    ] = "",
    on: Annotated[
        str, typer.Option(help="adopt, undo: date of the version, as 2025-06-02; today when left out")
    ] = "",
    row: Annotated[
        list[str] | None, typer.Option(help="fit: a threshold to learn; may be given again")
    ] = None,
    quick: Annotated[
        bool,
        typer.Option(
            "--quick", help="fit: one mean dose under a wider curve instead of every possible winter"
        ),
    ] = False,
    winter: Annotated[
        list[str] | None,
        typer.Option(help="preview, set: a winter to replay, may be given again; the last two when left out"),
    ] = None,
    every: Annotated[int, typer.Option(help="preview, set: days from one night to the next", min=1)] = 7,
    by_hand: Annotated[
        bool, typer.Option("--by-hand", help="adopt: take over the thresholds.toml that you changed yourself")
    ] = False,
    beside: Annotated[
        list[str] | None,
        typer.Option(
            "--with",
            help="compare: a version's name, 'proposed', or another course's folder; again and again",
        ),
    ] = None,
    csv: Annotated[
        Path | None, typer.Option(help="compare: also write the table to this .csv or .xlsx")
    ] = None,
) -> None:
    """Fit thresholds to plugs and spring surveys, see what they would have changed, adopt or take back.

    fit writes a proposal to reports/proposed_thresholds/ and says what moved, on what data, and why it should
    not be adopted where it should not. set NAME VALUE makes a proposal by hand. preview replays past nights
    under both. Nothing changes tonight's call until adopt. undo brings back the version before. compare sets versions
    and other courses beside what is in force.

    Example: winterrisk tune my_course adopt --who "A. Berg" --why "two winters of plugs agree"
    """
    if action is Action.fit:
        _fit(folder, row, quick)
    elif action is Action.set:
        _set(folder, name, value, why, winter, every)
    elif action is Action.preview:
        _preview(folder, winter, every)
    elif action is Action.adopt:
        _adopt(folder, who, why, override, on, by_hand)
    elif action is Action.undo:
        _undo(folder, who, why, on)
    elif action is Action.history:
        _history(folder)
    else:
        from winterrisk.cli.tune_compare import compare

        compare(folder, beside or [], csv)


def _fit(folder: Path, rows: list[str] | None, quick: bool) -> None:
    from winterrisk.backcast import read_work, winters
    from winterrisk.calibration import (
        DEFAULT_ROWS,
        PURPOSE,
        check_rows,
        fit,
        fit_text,
        with_remembered,
        write_proposed,
    )

    wanted = tuple(rows or DEFAULT_ROWS)
    check_rows(wanted)
    work = read_work(folder)
    typer.echo("replaying past winters ...", err=True)
    past = winters(folder)
    record = work.record
    typer.echo(f"fitting {', '.join(wanted)} ...", err=True)
    found = fit(
        work.thresholds,
        past,
        record.plugs,
        with_remembered(record.surveys, work.course),
        (work.course.id, PURPOSE),
        looks=record.looks,
        batches=record.batches,
        rows=wanted,
        spread="widened" if quick else "members",
    )
    where = write_proposed(found, work.course.folder)
    typer.echo(fit_text(found))
    typer.echo(f"Proposal: {where}. Nothing is adopted. Next: winterrisk tune {folder} preview")


def _set(
    folder: Path, name: str, value: float | None, why: str, winters: list[str] | None, every: int
) -> None:
    from winterrisk.calibration import by_hand, write_proposed
    from winterrisk.science.faults import Fault, Refused
    from winterrisk.thresholds import Thresholds

    faults = []
    if not name or value is None:
        faults.append(
            Fault(
                "set",
                f"{name} {value if value is not None else ''}".strip() or "nothing",
                "NAME VALUE",
                "as: set ice_steepness 6",
            )
        )
    if not why.strip():
        faults.append(Fault("why", "no reason", "a reason that can be read in ten years", 'add --why "..."'))
    if faults or value is None:
        raise Refused(faults)
    proposal = by_hand(Thresholds.read(folder), name, value, why)
    where = write_proposed(proposal, folder)
    typer.echo(f"{proposal.basis}\nProposal: {where}. Nothing is adopted.")
    _show_preview(folder, proposal, winters, every)


def _preview(folder: Path, winters: list[str] | None, every: int) -> None:
    from winterrisk.calibration import read_proposed

    _show_preview(folder, read_proposed(folder), winters, every)


def _show_preview(folder: Path, proposal: "Proposal", winters: list[str] | None, every: int) -> None:
    from winterrisk.cli.tune_preview import show_preview

    show_preview(folder, proposal, winters, every)


def _adopt(folder: Path, who: str, why: str, override: str, on: str, edited: bool) -> None:
    from winterrisk.calibration import adopt, adopt_by_hand, read_proposed

    if edited:
        version = adopt_by_hand(folder, who, why, on=_day(on))
    else:
        version = adopt(read_proposed(folder), folder, who, why, on=_day(on), override=override)
    typer.echo(f"Adopted {version.version} in place of {version.trail['before']}: {version.trail['basis']}")
    typer.echo(
        f"Plugs and surveys it has learned from weigh no thresholds again at night: {len(version.used)}"
    )
    typer.echo(f'To take it back: winterrisk tune {folder} undo --who NAME --why "..."')


def _undo(folder: Path, who: str, why: str, on: str) -> None:
    from winterrisk.calibration import undo

    back = undo(folder, who, why, on=_day(on))
    typer.echo(f"{back.version} stands again.")


def _history(folder: Path) -> None:
    from winterrisk.calibration import history

    rows = history(folder)
    if rows.empty:
        typer.echo("Nothing was ever adopted: the table's defaults stand.")
    for item in rows.itertuples():
        mark = "  <- stands" if item.stands else ""
        typer.echo(f"{item.version}  {item.who}: {item.why} ({item.used} plugs and surveys){mark}")


def _day(text: str) -> dt.date | None:
    from winterrisk.cli.words import day_of

    return day_of(text) if text else None
