"""A typed line as tokens: words, numbers with their units, ranges, doubts."""

import re
from dataclasses import dataclass, field
from typing import Final

UNITS: Final = {
    "mm": "mm", "millimeter": "mm", "millimeters": "mm", "millimetre": "mm", "millimetres": "mm",
    "cm": "cm", "centimeter": "cm", "centimeters": "cm", "centimetre": "cm", "centimetres": "cm",
    "m": "m", "meter": "m", "metre": "m",
    "ft": "ft", "foot": "ft", "feet": "ft",
    "in": "inch", "inch": "inch", "inches": "inch", '"': "inch",
    "%": "percent", "percent": "percent", "pct": "percent",
    "d": "d", "day": "d", "days": "d",
    "c": "degC", "degc": "degC", "celsius": "degC",
    "f": "degF", "degf": "degF", "fahrenheit": "degF",
}  # fmt: skip
"""Units as people type them, straight after a number."""

INCHES_IN_FOOT: Final = 12.0

_NUMBER = r"\d+(?:\.\d+)?"
_UNIT = "|".join(sorted((re.escape(unit) for unit in UNITS), key=len, reverse=True))
_PATTERN: Final = re.compile(
    rf"""(?P<date>\d{{4}}-\d{{1,2}}-\d{{1,2}})(?![\w.])
    | (?P<slashes>\d{{1,4}}[/.-]\d{{1,2}}[/.-]\d{{2,4}})(?![\w])
    | (?P<clock>\d{{1,2}}:\d{{2}}|\d{{1,2}}\s?(?:am|pm)\b)
    | (?P<doubt>(?:\+/-|\+-|±)\s?(?P<doubtful>{_NUMBER})\s?(?:days?|d)?\b)
    | (?P<low>{_NUMBER})\s?-\s?(?P<high>{_NUMBER})\s?(?P<rangeunit>(?:{_UNIT})(?![a-z]))?
    | (?P<whole>\d+\s)?(?P<over>\d+)/(?P<under>[1-9]\d*)\s?(?P<fractionunit>(?:{_UNIT})(?![a-z]))?
    | (?P<number>[-+]?{_NUMBER})\s?(?P<unit>(?:{_UNIT})(?![a-z0-9]))?(?![\w])
    | (?P<word>[^\W_][\w'’/-]*)
    | (?P<other>\S)""",
    re.VERBOSE,
)
_SPELLINGS: Final = (("°", "deg"), ("−", "-"), ("–", "-"), ("—", "-"), ("″", '"'), ("”", '"'), ("“", '"'))
_PUNCTUATION: Final = frozenset(",;.!:()~")
LONGEST = 400
"""Characters of a line; no note of a zone is longer."""


@dataclass
class Token:
    """One piece of a line.

    kind: word, number, range, doubt, date, slashes, clock. raw: as typed (lower case). value, high: numbers;
    unit: our name of it, "" where none was typed. used: understood already.
    """

    kind: str
    raw: str
    value: float = 0.0
    high: float = 0.0
    unit: str = ""
    used: bool = field(default=False, compare=False)


def _token(match: re.Match[str]) -> Token | None:
    """The token of a match; feet are turned into inches at once."""
    token = _as_typed(match)
    if token is not None and token.unit == "ft":
        token.value, token.high, token.unit = (
            token.value * INCHES_IN_FOOT,
            token.high * INCHES_IN_FOOT,
            "inch",
        )
    return token


def _as_typed(match: re.Match[str]) -> Token | None:
    got = match.groupdict()
    raw = match.group().strip()
    if got["date"] or got["slashes"] or got["clock"]:
        kind = "date" if got["date"] else "slashes" if got["slashes"] else "clock"
        return Token(kind, raw)
    if got["doubt"]:
        return Token("doubt", raw, float(got["doubtful"]))
    if got["low"]:
        unit = UNITS.get(got["rangeunit"] or "", "")
        return Token("range", raw, float(got["low"]), float(got["high"]), unit)
    if got["over"]:
        value = float(got["whole"] or 0) + float(got["over"]) / float(got["under"])
        return Token("number", raw, value, unit=UNITS.get(got["fractionunit"] or "", ""))
    if got["number"]:
        return Token("number", raw, float(got["number"]), unit=UNITS.get(got["unit"] or "", ""))
    if got["word"]:
        return Token("word", raw.replace("’", "'"))
    return None if raw in _PUNCTUATION else Token("word", raw)


def tokens_of(line: str) -> list[Token]:
    """Tokens of a line, in order. A comma between digits is a decimal comma; a dash between words is none."""
    text = line[:LONGEST].casefold()
    for typed, ours in _SPELLINGS:
        text = text.replace(typed, ours)
    text = re.sub(r"(?<=\d),(?=\d)", ".", text)
    text = re.sub(r"(?<!\S)-(?=\s+\D|\s*$)", " ", text)
    text = re.sub(r"(?<![\w])(\d+)'(?!\w)", r"\1 ft", text)
    return [token for match in _PATTERN.finditer(text) if (token := _token(match)) is not None]


def find(tokens: list[Token], phrase: tuple[str, ...]) -> int | None:
    """Where a phrase begins among tokens not used yet."""
    n = len(phrase)
    for start in range(len(tokens) - n + 1):
        part = tokens[start : start + n]
        if all(not token.used and token.raw == word for token, word in zip(part, phrase, strict=True)):
            return start
    return None


def take(tokens: list[Token], phrase: tuple[str, ...]) -> bool:
    """Whether a phrase stands in the line; its tokens are then used."""
    start = find(tokens, phrase)
    if start is None:
        return False
    for token in tokens[start : start + len(phrase)]:
        token.used = True
    return True
