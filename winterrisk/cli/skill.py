"""`winterrisk skill`: how good the chances and calls of past nights were."""

import json as text_json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from winterrisk.calibration import PastNights
    from winterrisk.nightly import Work


def skill(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    replay: Annotated[
        bool,
        typer.Option(
            "--replay", help="work the nights anew instead of reading what they said (takes minutes)"
        ),
    ] = False,
    winter: Annotated[
        list[str] | None,
        typer.Option(help="a winter, as 2024-25; again and again; all with surveys when left out"),
    ] = None,
    every: Annotated[int, typer.Option(help="with --replay: days from one night to the next", min=1)] = 14,
    forecast: Annotated[
        str, typer.Option(help="with --replay: days ahead of a night: archived, errors, none")
    ] = "none",
    json: Annotated[bool, typer.Option("--json", help="print one JSON object")] = False,
    csv: Annotated[
        Path | None, typer.Option(help="also write the scores by date to this .csv or .xlsx")
    ] = None,
) -> None:
    """Hold what past nights said against the spring surveys: Brier score, skill, reliability, calls, worth.

    Reads nights/ as they were said; --replay works them anew on what was known then. Zones that were treated stand
    apart. Writes a picture to reports/skill.png.

    Exit codes: 0 done; 2 input refused; 3 nothing to verify.

    Example: winterrisk skill my_course --replay --winter 2024-25
    """
    from winterrisk.backcast import crown_scores, read_work
    from winterrisk.calibration.skill import issues_table, skill
    from winterrisk.calibration.skill_text import crown_lines, skill_lines
    from winterrisk.cli.words import winter_named
    from winterrisk.nightly import CANNOT_SAY
    from winterrisk.reports.skill_figure import skill_figure
    from winterrisk.reports.write_picture import write_picture
    from winterrisk.reports.write_table import write_table
    from winterrisk.sampling import Stakes

    work = read_work(folder)
    named = [winter_named(w) for w in winter or ()]
    wanted = named or sorted(set(work.record.surveys["winter"]))
    nights = _replayed(folder, work, wanted, every, forecast) if replay else _said(folder, wanted)
    told = skill(nights, work.record.surveys, Stakes.of(work.course.money).act_above)
    count = nights.zones["winter"].nunique()
    crowns = crown_scores(work, wanted)
    lines = [*skill_lines(told, count), *crown_lines(crowns)]
    if json:
        print(
            text_json.dumps(
                _object(told, wanted, replay) | {"crowns": crowns.to_dict("records")},
                indent=2,
                ensure_ascii=False,
                default=str,
            )
        )
    else:
        typer.echo("\n".join(lines))
        if not replay and not told.issues:
            typer.echo(f"Next: winterrisk skill {folder} --replay")
    if csv is not None:
        write_table(issues_table(told), csv)
    if not told.issues:
        raise typer.Exit(CANNOT_SAY)
    picture = write_picture(work.course.folder, skill_figure(told, work.course.place.name), "skill")
    typer.echo(f"picture: {picture}", err=json)


def _said(folder: Path, winters: list[str]) -> "PastNights":
    from winterrisk.calibration import past_nights
    from winterrisk.reports.read_nights import read_nights

    return past_nights(n for n in read_nights(folder) if n["winter"] in winters and not n["hindsight"])


def _replayed(folder: Path, work: "Work", winters: list[str], every: int, forecast: str) -> "PastNights":
    import datetime as dt

    import numpy as np

    from winterrisk.backcast import backcast_nights, days_ahead, nights_of, whole_record
    from winterrisk.calibration import past_nights

    now = np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")
    ahead = days_ahead(forecast, work.course, lambda: whole_record(work.weather, work.course.id, now))
    first, last = (day.astype("datetime64[D]").item() for day in work.weather.span)
    records = []
    for name in winters:
        typer.echo(f"replaying {name}, every {every} days ...", err=True)
        days = [on for on in nights_of(name, every) if first < on <= last]
        records += [night.record for night in backcast_nights(folder, work, days, ahead=ahead)]
    return past_nights(records)


def _object(told: Any, winters: list[str], replay: bool) -> dict[str, Any]:
    plain = {n: v for n, v in asdict(told).items() if n not in ("reliability", "treated_table")}
    tables = {n: getattr(told, n).to_dict("records") for n in ("reliability", "treated_table")}
    return {"winters": winters, "replayed": replay, **plain, **tables}
