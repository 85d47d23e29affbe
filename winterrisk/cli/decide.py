"""`winterrisk decide`: what was decided, and why."""

from pathlib import Path
from typing import Annotated

import typer


def decide(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    text: Annotated[str, typer.Argument(help="what was decided")],
    why: Annotated[str, typer.Option(help="the reason, as it looked then")] = "",
    told: Annotated[str, typer.Option(help="who was told")] = "",
    night: Annotated[str, typer.Option(help="date of the night page that was seen")] = "",
    on: Annotated[str, typer.Option(help="local day, and hour if known")] = "",
    who: Annotated[str, typer.Option(help="who decided")] = "",
) -> None:
    """Note a decision with its reason, so that spring can be judged by what was known in winter.

    Example: winterrisk decide my_course "no seed order" --why "plugs of 9 Feb green" --told "green committee"
    """
    from winterrisk.book import note_decision, open_book
    from winterrisk.cli.typed import typed_at
    from winterrisk.course import read_course

    course = read_course(folder)
    typed = typed_at(course, on=on, who=who)
    with open_book(folder, course=course) as book:
        print(note_decision(book, text, typed, why, told, night))
        if text.split()[0].casefold() == "ack":
            print("the second contact is not asked; the calls stand until a look or a plug answers them")
