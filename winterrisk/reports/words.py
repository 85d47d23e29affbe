"""Chances, shares and days in plain words; text that fits a phone."""

import datetime as dt
import unicodedata
from collections.abc import Sequence

from winterrisk.course import WEEKDAYS
from winterrisk.science.day_words import day_month

RATIOS = (
    (0.05, "1 in 20"), (0.10, "1 in 10"), (0.14, "1 in 7"), (0.20, "1 in 5"), (0.25, "1 in 4"), (1 / 3, "1 in 3"),
    (0.40, "2 in 5"), (0.50, "1 in 2"), (0.60, "3 in 5"), (2 / 3, "2 in 3"), (0.75, "3 in 4"), (0.80, "4 in 5"),
    (0.90, "9 in 10"), (0.95, "19 in 20"),
)  # fmt: skip
SMALL, LARGE = 0.035, 0.965

BAND_WORDS = {
    "trace": "more than a trace of it",
    "spots": "more than spots of it (5 %)",
    "parts": "more than a quarter of it",
    "most": "most of it (over 60 %)",
}
CAUSE_WORDS = {
    "cold": "cold",
    "wet_freeze": "soaked crowns freezing hard",
    "ice": "lack of air under ice",
    "drying": "drying out",
    "snow_mould_pink": "pink snow mould",
    "snow_mould_grey": "grey snow mould",
    "spring_frost": "frost on softened turf",
    "swings": "freeze and thaw by turns",
    "mixed": "ice and wet freezing together, not to be told apart",
    "background": "other causes",
}
HEADLINE_LENGTH = 160
BODY_LENGTH = 600


LETTERS = {
    "æ": "ae", "ø": "o", "å": "a", "ß": "ss", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "œ": "oe", "ħ": "h", "ı": "i",
    "ŧ": "t", "ŋ": "ng", "–": "-", "—": "-", "−": "-", "°": " deg", "’": "'", "‘": "'", "“": '"', "”": '"', "«": '"',
    "»": '"', "„": '"', "·": "-", "•": "-", "×": "x", "±": "+-", "≥": ">=", "≤": "<=", "€": "EUR", "£": "GBP",
    "а": "a", "б": "b", "в": "v", "г": "g", "д": "d", "е": "e", "ё": "e", "ж": "zh", "з": "z", "и": "i", "й": "i",
    "к": "k", "л": "l", "м": "m", "н": "n", "о": "o", "п": "p", "р": "r", "с": "s", "т": "t", "у": "u", "ф": "f",
    "х": "kh", "ц": "ts", "ч": "ch", "ш": "sh", "щ": "shch", "ъ": "'", "ы": "y", "ь": "'", "э": "e", "ю": "yu",
    "я": "ya", "і": "i", "ї": "yi", "є": "ye", "ґ": "g", "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
}  # fmt: skip
"""Plain spelling of letters and signs that do not fall apart into one and an accent; small letters stand for both."""


def ratio(chance: float) -> str:
    """A chance [1] as a ratio a person can picture: '1 in 3'."""
    if chance < SMALL:
        return "under 1 in 30"
    if chance > LARGE:
        return "over 29 in 30"
    return min(RATIOS, key=lambda r: abs(r[0] - chance))[1]


def chance_in_words(chance: float, low: float, high: float) -> str:
    """A chance with its range: 'about 1 in 3 (1 in 5 to 1 in 2)'."""
    middle, least, most = ratio(chance), ratio(low), ratio(high)
    about = middle if middle.startswith(("under", "over")) else f"about {middle}"
    return about if least == most else f"{about} ({least} to {most})"


def day_in_words(day: dt.date) -> str:
    """A date as it is spoken: 'Tue 25 Feb'."""
    return f"{WEEKDAYS[day.weekday()]} {day_month(day)}"


def area_name(kind: str, name: str) -> str:
    """An area as it is spoken of: 'green 4', 'nursery' where it is called what it is."""
    return name if kind == name.lower() else f"{kind} {name}"


def joined(items: list[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}" if items else ""


def seven_bit(text: str) -> str:
    """The text with every letter brought to plain 7-bit characters, for the smallest phone.

    Accents fall, letters of their own and Cyrillic are spelled out (common practice, no one standard); what has no
    plain spelling here is "?", so that it is missed. No line ends or other control characters are left.
    """
    swapped = "".join(LETTERS.get(c) or _both_cases(c) for c in text)
    plain = unicodedata.normalize("NFKD", swapped)
    kept = "".join(c if c.isascii() else "?" for c in plain if not unicodedata.combining(c))
    return " ".join("".join(c if c.isprintable() else " " for c in kept).split())


def _both_cases(letter: str) -> str:
    small = LETTERS.get(letter.lower())
    return small.capitalize() if small else letter


def shortened(text: str, length: int) -> str:
    """The text cut at a word to at most `length` characters, with '...' where something was left off."""
    if len(text) <= length:
        return text
    return text[: length - 3].rsplit(" ", 1)[0].rstrip(",;:. ") + "..."


def cause_in_words(reason: str) -> str:
    """A call's reason with the name of the cause, where it ends with one, put into words."""
    head, mark, last = reason.rpartition("; ")
    return f"{head}{mark}{CAUSE_WORDS.get(last, last)}"


def fitted(pieces: Sequence[tuple[int, str]], length: int = BODY_LENGTH) -> str:
    """Pieces (rank, text) in order; those of the highest rank are left out until the rest fits."""
    kept = list(range(len(pieces)))
    while len(" ".join(pieces[i][1] for i in kept)) > length:
        worst = max(kept, key=lambda i: (pieces[i][0], i))
        if pieces[worst][0] == 0:
            break
        kept.remove(worst)
    return shortened(" ".join(pieces[i][1] for i in kept), length)
