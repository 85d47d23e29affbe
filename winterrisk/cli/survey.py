"""`winterrisk survey`: how much of a zone is dead in spring."""

from pathlib import Path
from typing import Annotated

import typer


def survey(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    words: Annotated[list[str], typer.Argument(help="what was found, such as: 4 low dead 30-50 ice")],
    on: Annotated[str, typer.Option(help="local day, such as 2025-04-20")] = "",
    who: Annotated[str, typer.Option(help="who looked")] = "",
    known: Annotated[str, typer.Option(help="local day and hour it was told, where that is not now")] = "",
    correct: Annotated[int | None, typer.Option(help="number of the survey this line replaces")] = None,
) -> None:
    """Note how much of a zone is dead in spring, in percent, of which grass, and the cause if known.

    Also none, trace, spots, parts, most. Causes: ice, crown hydration, cold, drying, pink or grey snow mould,
    spring frost, mixed, unknown. The thresholds learn most from this line.

    Example: winterrisk survey my_course 4 low dead 30-50 ice --on 2025-04-20 --who Ann
    """
    from winterrisk.book import note_survey, open_book
    from winterrisk.cli.typed import typed_at
    from winterrisk.course import read_course

    course = read_course(folder)
    typed = typed_at(course, on=on, who=who, known=known)
    with open_book(folder, course=course) as book:
        print(note_survey(book, " ".join(words), typed, correct))
