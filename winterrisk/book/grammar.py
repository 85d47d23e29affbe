"""One line, as somebody types it in the cold, turned into a row of the book: in any order, in any unit.

`4 low ice 2cm clear` · `9 shade snow 12 in` · `4 low ice since about new year` · `plug 4 low A2 5cm` ·
`plug 4 low A2 day5 growth 60` · `survey 4 low dead 30-50 ice`

A line is understood whole or not at all; what was not understood is named.
"""

import datetime as dt
import re
from collections.abc import Callable
from typing import Final

from winterrisk.book.line_reader import Line, Noted
from winterrisk.book.places import Places
from winterrisk.book.said_observation import observation_said
from winterrisk.book.said_plug import LOOK_WORDS, look_said, plug_said
from winterrisk.book.said_survey import survey_said

FIRST_WORDS: Final = {"plug": "plugs", "look": "looks", "survey": "surveys"}
PLUG_NAME: Final = re.compile(r"p\d+")
READERS: Final[dict[str, Callable[[Line], Noted]]] = {
    "observations": observation_said,
    "plugs": plug_said,
    "looks": look_said,
    "surveys": survey_said,
}


def noted(line: str, places: Places, today: dt.date, *, inches: bool = False, table: str = "") -> Noted:
    """What a line says, ready for the book but for its time.

    The first word chooses ("plug", "look" or the name of a plug, "survey", else an observation) unless
    `table` does. Numbers without a unit are cm of snow and mm of ice, or inches where the course works in
    inches.

    Args:
        today: local day, for "yesterday" and days without a year.
    Raises:
        BookError: names the word or number that was not understood; nothing can then be noted.
    """
    said = Line(line, places, today, inches)
    if not table:
        table = FIRST_WORDS.get(said.tokens[0].raw, "observations")
        if table != "observations":
            said.tokens[0].used = True
        elif PLUG_NAME.fullmatch(said.tokens[0].raw):
            table = "looks"
        if table == "plugs" and any(t.raw in LOOK_WORDS for t in said.tokens):
            table = "looks"
    return READERS[table](said)
