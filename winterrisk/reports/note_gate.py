"""The gate of notes: no word of loss without a plug or a survey behind it, no day promised alone."""

import re
from collections.abc import Collection
from typing import Final

LOSS: Final = re.compile(
    r"\b(?:dead|deaths?|die[sd]?|dying|kill(?:s|ed|ing)?|winter-?\s?kill\w*|loss(?:es)?|lost|lose[sr]?|losing|"
    r"damag\w*|injur\w*|destroy\w*|ruin\w*|perish\w*|wiped out|gone for good|rott(?:ed|en)|suffocat\w*)\b",
    re.IGNORECASE,
)
"""Words that tell a reader turf is gone."""
MONTHS: Final = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
_DAY: Final = re.compile(rf"\b\d{{1,2}} (?:{MONTHS})[a-z]*\b|\b\d{{4}}-\d{{2}}-\d{{2}}\b")
_RANGE: Final = re.compile(
    rf"\bbetween \d{{1,2}}(?: (?:{MONTHS})[a-z]*)? and \d{{1,2}} (?:{MONTHS})[a-z]*\b|\bafter \d{{1,2}} (?:{MONTHS})\b"
)


def masked(text: str, names: Collection[str]) -> str:
    """The text with proper names taken out: a green called "Dead Oak" is no word of loss."""
    for name in sorted((n for n in names if n), key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", "~", text)
    return text


def words_of_loss(text: str, names: Collection[str] = ()) -> tuple[str, ...]:
    """Words of loss in a text, in order, small letters; names of the course and its zones are left out.

    Args:
        names: proper names that may stand in any case.
    """
    return tuple(dict.fromkeys(found.lower() for found in LOSS.findall(masked(text, names))))


def days_alone(text: str) -> tuple[str, ...]:
    """Days in a text that are not told as a range ("between 6 and 31 May", "after 27 Oct")."""
    return tuple(_DAY.findall(_RANGE.sub("~", text)))


def passed(lines: Collection[str], evidence: bool, names: Collection[str]) -> list[str]:
    """The lines that may be told: those with words of loss only where there is evidence."""
    return [line for line in lines if evidence or not words_of_loss(line, names)]
