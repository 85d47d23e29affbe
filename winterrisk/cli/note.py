"""`winterrisk note`: a draft for members or the board."""

import re
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class For(StrEnum):
    """Who reads it."""

    member = "member"
    board = "board"


def note(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    reader: Annotated[For, typer.Argument(help="who reads it", metavar="member|board")],
    on: Annotated[str, typer.Option(help="date, as 2025-03-14; today when left out")] = "",
) -> None:
    """Draft a note: for members at most 150 words, for the board with costs and decisions.

    Words of loss stand in it only where a plug or a survey shows it; days are ranges. Writes
    reports/notes/DATE-member.md and .html. Edit the .md and run the command again: your text stays, the page is
    made from it.

    Example: winterrisk note my_course member --on 2025-03-14
    """
    from winterrisk import note as steps
    from winterrisk.cli.words import day_of

    told = steps.run(
        folder,
        reader.value,
        day_of(on) if on else None,
        tell=lambda line: print(line, file=sys.stderr, flush=True),
    )
    print(re.sub(r"\n*<!--.*?-->", "", told.text, flags=re.DOTALL).rstrip())
    print()
    for path in told.kept:
        print(f"{path}: edited by hand, left as it is", file=sys.stderr)
    if told.unproved:
        print(
            f"{told.markdown}: says {', '.join(told.unproved)}, and no plug or survey known by then shows it: "
            "wait for a verdict, or take it out",
            file=sys.stderr,
        )
    print(told.markdown)
    print(told.page)
