"""Which zone a line speaks of: "4 low", "low 4", "9 shade" for the only shade of green 9."""

from functools import lru_cache

from winterrisk.book.line_tokens import Token, find, take, tokens_of
from winterrisk.book.line_words import EVERYWHERE
from winterrisk.book.places import WHOLE, Places

Found = tuple[int, tuple[str, ...], str, str]
BETWEEN = ("green", "the", "hole", ",", "in", "on")


def _phrase(name: str) -> tuple[str, ...]:
    return tuple(token.raw for token in tokens_of(name))


def _zone_phrases(zones: tuple[str, ...]) -> dict[tuple[str, ...], str]:
    """Phrases of each zone of an area: its name, and any word of it that no other zone of the area has."""
    phrases = {_phrase(zone): zone for zone in zones}
    words = [word for zone in zones for word in set(_phrase(zone))]
    for zone in zones:
        for word in _phrase(zone):
            if words.count(word) == 1:
                phrases.setdefault((word,), zone)
    return phrases


@lru_cache(maxsize=64)
def _candidates(areas: tuple[tuple[str, tuple[str, ...]], ...]) -> list[tuple[tuple[str, ...], str, str]]:
    """Every way to say a zone, the longest first."""
    ways = []
    for area, zones in areas:
        a = _phrase(area)
        for z, zone in _zone_phrases(zones).items():
            for middle in ((), *((word,) for word in BETWEEN)):
                ways.append(((*a, *middle, *z), area, zone))
                ways.append((("green", *a, *middle, *z), area, zone))
                ways.append(((*z, *middle, *a), area, zone))
    return sorted(ways, key=lambda way: -len(way[0]))


def take_zone(tokens: list[Token], places: Places) -> tuple[str, str] | None:
    """Area and zone the line names; its words are then used. None where it names none."""
    best: tuple[int, int, tuple[str, ...], str, str] | None = None
    for phrase, area, zone in _candidates(tuple(places.areas.items())):
        start = find(tokens, phrase)
        if start is None:
            continue
        rank = (-len(phrase), start)
        if best is None or rank < best[:2]:
            best = (*rank, phrase, area, zone)
    if best is None:
        return None
    start, phrase = best[1], best[2]
    for token in tokens[start : start + len(phrase)]:
        token.used = True
    return best[3], best[4]


def take_area(tokens: list[Token], places: Places, before: frozenset[str]) -> tuple[str, str] | None:
    """Area, or the whole course, that a line without a zone speaks of; None where it is not plain.

    A number straight after one of the words `before` is a depth, not a green.
    """
    for words in EVERYWHERE:
        if take(tokens, _phrase(words)):
            return WHOLE, WHOLE
    found = []
    for area in places.areas:
        phrase = _phrase(area)
        start = find(tokens, phrase)
        if start is None:
            continue
        after_kind = start > 0 and tokens[start - 1].raw in before
        found.append((after_kind, start, phrase, area))
    plain = [item for item in found if not item[0]]
    if len(plain) != 1:
        return None
    take(tokens, plain[0][2])
    return plain[0][3], WHOLE
