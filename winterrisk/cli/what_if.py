"""`winterrisk what-if`: clear a zone or leave it."""

from pathlib import Path
from typing import Annotated

import typer


def what_if(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    clear: Annotated[str, typer.Option(help='zone to clear, as "4 low"', metavar="ZONE")],
    on: Annotated[str, typer.Option(help="day of the clearing, as 2025-02-26")],
    night: Annotated[
        str, typer.Option(help="night whose knowledge counts; the day of the clearing when left out")
    ] = "",
) -> None:
    """Compare clearing a zone with leaving it, over the ten days after, on what is known.

    Exit codes: 0 done, 2 input refused, 3 cannot say for lack of data.

    Example: winterrisk what-if my_course --clear "4 low" --on 2025-02-26
    """
    from winterrisk.cli.words import day_of
    from winterrisk.nightly import CANNOT_SAY
    from winterrisk.what_if import what_if as both

    told = both(folder, clear, day_of(on), night=day_of(night) if night else None)
    print(told.words())
    if told.blind:
        raise typer.Exit(CANNOT_SAY)
