"""`winterrisk observe`: what somebody saw or did on a zone."""

from pathlib import Path
from typing import Annotated

import typer


def observe(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    words: Annotated[
        list[str] | None, typer.Argument(help="what was seen, such as: 4 low ice 2cm clear")
    ] = None,
    on: Annotated[
        str, typer.Option(help="local day, and hour if known: 2025-01-14 or '2025-01-14 09:00'")
    ] = "",
    at: Annotated[str, typer.Option(help="local hour, such as 7:30")] = "",
    who: Annotated[str, typer.Option(help="who saw it")] = "",
    known: Annotated[str, typer.Option(help="local day and hour it was told, where that is not now")] = "",
    correct: Annotated[int | None, typer.Option(help="number of the observation this line replaces")] = None,
    withdraw: Annotated[int | None, typer.Option(help="number of the observation to take back")] = None,
) -> None:
    """Note what was seen or done; without words, list what was noted last. Tonight's replay follows it.

    Say area and zone, then: ice 2cm clear, no ice, ice since 1 jan, snow 30, water 1in, cover on, cover off,
    cleared, ice broken, squeegeed, dark sand, crown -4C, o2 8% co2 9%; in any order, mm, cm or inches.

    Example: winterrisk observe my_course 4 low ice 2cm clear --on 2025-01-14 --who Ann
    """
    from winterrisk.book import note_observation, open_book
    from winterrisk.book.reading_back import observation_words
    from winterrisk.cli.typed import typed_at
    from winterrisk.course import read_course

    course = read_course(folder)
    typed = typed_at(course, on=on, at=at, who=who, known=known)
    with open_book(folder, course=course) as book:
        if withdraw is not None:
            book.withdraw("observations", withdraw, known=typed.known_at, who=who)
            print(f"withdrawn {withdraw}: the next replay goes without it")
        elif words:
            print(note_observation(book, " ".join(words), typed, correct))
        else:
            seen = book.record().observations.sort_values("time").tail(20)
            for row in seen.to_dict("records"):
                said = {**row, "zone": row["zone"].removeprefix(row["area"]).strip()}
                print(f"{row['id']}: {observation_words(said, course.timezone)}")
            if seen.empty:
                print("nothing noted yet; say: winterrisk observe DIR 4 low ice 2cm clear")
