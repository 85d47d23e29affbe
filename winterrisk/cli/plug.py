"""`winterrisk plug`: plugs cut, looked at and judged."""

from pathlib import Path
from typing import Annotated

import typer

ACTIONS = ("add", "look", "list", "sheet", "import", "export", "batch", "withdraw")
ALONE = ("list", "sheet")


def plug(
    folder: Annotated[Path, typer.Argument(help="course folder with course.toml", metavar="DIR")],
    action: Annotated[str, typer.Argument(help="add, look, list, sheet, import, export, batch or withdraw")],
    words: Annotated[
        list[str] | None,
        typer.Argument(help="add: 4 low A2 5cm; look: P3, or 4 low A2 growth 60; import, export: a file"),
    ] = None,
    on: Annotated[
        str, typer.Option(help="local day, and hour if known: 2025-01-14 or '2025-01-14 09:00'")
    ] = "",
    at: Annotated[str, typer.Option(help="local hour, such as 7:30")] = "",
    who: Annotated[str, typer.Option(help="who cut or looked")] = "",
    known: Annotated[str, typer.Option(help="local day and hour it was told, where that is not now")] = "",
    batch: Annotated[str, typer.Option(help="add: the batch; the day of the cut when left out")] = "",
    control: Annotated[bool, typer.Option("--control", help="add: a plug known to be good")] = False,
    growth: Annotated[float | None, typer.Option(help="look: new growth in percent, after clipping")] = None,
    species: Annotated[str, typer.Option(help="look: the grass, where you told them apart")] = "",
    colour: Annotated[str, typer.Option(help="look: colour, apart from new growth")] = "",
    smell: Annotated[str, typer.Option(help="look: none, some, sour, sweet, strong")] = "",
    warm_from: Annotated[str, typer.Option(help="batch: local day and hour it came into the warm")] = "",
    room: Annotated[str, typer.Option(help="batch: sill or lamp")] = "",
    temperature: Annotated[float | None, typer.Option(help="batch: degrees C at the plugs")] = None,
    light: Annotated[float | None, typer.Option(help="batch: daily light, mol per m2")] = None,
    light_hours: Annotated[float | None, typer.Option(help="batch: hours of light a day")] = None,
    void: Annotated[bool, typer.Option("--void", help="batch: throw it out")] = False,
    everything: Annotated[bool, typer.Option("--all", help="list: plugs of earlier winters too")] = False,
) -> None:
    """Note a plug (add) or a look at one (look), and list what the plugs say and when they fall due (list).

    A plug goes into a batch, the plugs that stand together; give each batch one control, known to be good.
    Read new growth on days 3, 5, 7, 10 and 14 in the warm. Plugs may carry fungicide: wear gloves, and keep
    them out of kitchens.

    sheet writes a page to print for the zones called for, or those named (4 low, 9 shade). export writes the
    whole book to a folder of CSV, to FILE.xlsx or to a backup FILE.sqlite; import takes any of them back, or
    a table made by hand. Withdraw takes a plug back.

    Example: winterrisk plug my_course add 4 low A2 5cm --on 2025-02-10
    """
    from winterrisk.book import course_room, course_values, note_batch, note_look, note_plug, open_book
    from winterrisk.cli.book import export_to, import_from, sheet_for
    from winterrisk.cli.typed import typed_at
    from winterrisk.course import read_course
    from winterrisk.science.faults import Fault, Refused, nearest

    if action not in ACTIONS:
        close = nearest(action, ACTIONS)
        hint = f"did you mean {close}?" if close else ""
        raise Refused(Fault("plug", repr(action), "one of " + ", ".join(ACTIONS), hint))
    if action not in ALONE and not words:
        raise Refused(
            Fault(f"plug {action}", "nothing after it", "a plug or batch", "see winterrisk plug --help")
        )
    course = read_course(folder)
    typed = typed_at(course, on=on, at=at, who=who, known=known)
    line = " ".join(words or [])
    with open_book(folder, course=course) as book:
        if action == "add":
            print(note_plug(book, line, typed, course_room(course), batch, control))
        elif action == "look":
            given = {"new_growth": growth, "species": species, "colour": colour, "smell": smell}
            print(note_look(book, line, typed, given))
        elif action == "batch":
            since = typed_at(course, on=warm_from).utc(None, None) if warm_from else None
            changes = {
                "warm_from": since,
                "room": room or None,
                "temperature": temperature,
                "light_hours": light_hours,
                "light_mol": light,
                "void": True if void else None,
            }
            print(note_batch(book, line, typed, changes))
        elif action == "withdraw":
            book.withdraw("plugs", line, known=typed.known_at, who=who)
            print(f"withdrawn {line}")
        elif action == "sheet":
            print(sheet_for(course, words or [], typed.day or typed.today))
        elif action == "export":
            print(export_to(book, line))
        elif action == "import":
            print(import_from(book, course, line, typed))
        else:
            from winterrisk.book import plug_list

            shares = {view.label: view.share for view in course.zones()}
            for said in plug_list(
                book.record(), typed, everything=everything, values=course_values(course), shares=shares
            ):
                print(said)
