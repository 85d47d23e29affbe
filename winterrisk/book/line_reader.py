"""A typed line while it is being understood, and what comes of it."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from typing import Any, Final

from winterrisk.book.line_places import take_area, take_zone
from winterrisk.book.line_tokens import LONGEST, Token, take, tokens_of
from winterrisk.book.line_words import FILLERS, KIND_WORDS
from winterrisk.book.places import Places, label
from winterrisk.book.refusal import BookError
from winterrisk.science.faults import Fault, nearest

CLOSE, SHORT = 0.65, 2
"""How alike a word must be to be offered, and the length up to which none is (judged)."""
LENGTHS: Final = ("mm", "cm", "m", "inch")
MM: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4}
"""Millimetres in a unit of length."""

Phrases = list[tuple[tuple[str, ...], str]]
"""(words, name) pairs, the most words first."""


@dataclass(frozen=True)
class Noted:
    """What a line said: the table it belongs to, its values, and the local day and hour where it named them.

    day_warm: "day 5" of a look, days since the plug came into the warm. values hold no time yet.
    """

    table: str
    values: Mapping[str, Any]
    day: dt.date | None = None
    clock: dt.time | None = None
    day_warm: float | None = None

    @property
    def zone(self) -> str:
        """Label of the zone."""
        return label(self.values.get("area", ""), self.values.get("zone", ""))


def longest_first(phrases: Mapping[str, Iterable[str]] | Iterable[str]) -> Phrases:
    """(words, name) pairs, the most words first."""
    if isinstance(phrases, Mapping):
        pairs = [(words, name) for name, group in phrases.items() for words in group]
    else:
        pairs = [(words, words) for words in phrases]
    split = [(tuple(token.raw for token in tokens_of(words)), name) for words, name in pairs]
    return sorted(split, key=lambda pair: (-len(pair[0]), -len(" ".join(pair[0]))))


KIND_PHRASES: Final = longest_first(KIND_WORDS)
KIND_LAST_WORDS: Final = frozenset(words[-1] for words, _ in KIND_PHRASES)


def take_first(tokens: list[Token], phrases: Phrases) -> str | None:
    """Name of the first phrase that stands in the line; its words are then used."""
    return next((name for words, name in phrases if take(tokens, words)), None)


class Line:
    """A line being understood."""

    def __init__(self, text: str, places: Places, today: dt.date, inches: bool) -> None:
        self.text, self.places, self.today, self.inches = text.strip(), places, today, inches
        self.area = ""
        if len(self.text) > LONGEST:
            raise self.fault(f"{len(self.text)} characters", f"a line of up to {LONGEST}", "say it shorter")
        self.tokens = tokens_of(self.text)
        if not self.tokens:
            raise self.fault("an empty line", "such as: 4 low ice 2cm clear")

    def fault(self, found: str, expected: str, move: str = "say it again; nothing was noted") -> BookError:
        """A refusal of the line."""
        shown = self.text if len(self.text) <= 80 else f"{self.text[:77]}..."
        return BookError(Fault(repr(shown), found, expected, move))

    def place(self, *, whole: bool = False) -> tuple[str, str]:
        """Area and zone, or the refusal with the nearest zone named."""
        found = take_zone(self.tokens, self.places)
        if found is None and whole:
            found = take_area(self.tokens, self.places, KIND_LAST_WORDS)
        if found is not None:
            self.area = found[0]
            return found
        said = " ".join(t.raw for t in self.tokens if not t.unit)
        words = said.split()
        pairs = [" ".join(words[i : i + 2]) for i in range(max(1, len(words) - 1))]
        close = next((c for pair in pairs if (c := nearest(pair, self.places.labels()))), None)
        hint = f"did you mean {close}?" if close else "see the zones of course.toml"
        raise self.fault(
            "no zone of the course", "an area and a zone, such as " + self.places.labels()[0], hint
        )

    def numbers(self, *units: str) -> list[Token]:
        """Numbers not used yet that carry one of the units ("" for none)."""
        return [t for t in self.tokens if not t.used and t.kind == "number" and t.unit in units]

    def number(self, *units: str) -> Token | None:
        """The one number with one of the units, used; a refusal where there are two."""
        found = self.numbers(*units)
        if len(found) > 1:
            raise self.fault(f"two numbers, {found[0].raw} and {found[1].raw}", "one", "give each its unit")
        if found:
            found[0].used = True
            return found[0]
        return None

    def after(self, *words: str) -> Token | None:
        """The number that follows one of the words, both used."""
        for word, token in pairwise(self.tokens):
            if word.raw in words and not word.used and token.kind == "number" and not token.used:
                word.used = token.used = True
                return token
        return None

    def _hint(self, word: str, vocabulary: list[str]) -> str:
        if word in vocabulary:
            return "one thing a line"
        near = get_close_matches(word, vocabulary, n=1, cutoff=CLOSE) if len(word) > SHORT else []
        if not near and self.area:
            labels = [name for name in self.places.labels() if name.startswith(f"{self.area} ")]
            near = get_close_matches(f"{self.area} {word}", labels, n=1, cutoff=CLOSE)
        return f"did you mean {near[0]}?" if near else "leave it out or say it otherwise"

    def done(self, vocabulary: Iterable[str]) -> None:
        """Refuse the line where a word of it was not understood."""
        for token in self.tokens:
            if token.used or token.raw in FILLERS:
                continue
            if token.kind == "slashes":
                raise self.fault(
                    f"the date {token.raw!r}, which can be read two ways", "2025-01-14 or 14 jan"
                )
            if token.kind in ("date", "clock"):
                raise self.fault(f"{token.raw!r}", "one day or hour that exists, such as 2025-01-14 7:30")
            if token.kind != "word":
                raise self.fault(f"the number {token.raw!r} too many", "a number for each thing said")
            hint = self._hint(token.raw, list(vocabulary))
            raise self.fault(f"the word {token.raw!r}", "words the book knows", f"{hint} (nothing was noted)")


def length_of(token: Token | None, line: Line, bare: str) -> dict[str, Any]:
    """Value and unit of a depth; `bare` is the unit of a number without one."""
    if token is None:
        return {"value": None, "unit": ""}
    if token.unit not in ("", "mm", "cm", "m", "inch"):
        raise line.fault(f"{token.raw!r}", "a depth in mm, cm or inches")
    return {"value": token.value, "unit": token.unit or ("inch" if line.inches else bare)}
