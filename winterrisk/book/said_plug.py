"""A line about a plug: cut, or looked at."""

from itertools import pairwise
from typing import Any

from winterrisk.book.line_dates import take_clock, take_day
from winterrisk.book.line_reader import LENGTHS, MM, Line, Noted, length_of, longest_first, take_first
from winterrisk.book.line_tokens import Token, take, tokens_of
from winterrisk.book.line_words import COLOURS, CROWN_WORDS, SMELLS, SPECIES_WORDS

BARE_DEPTH_UNIT, BARE_ICE_UNIT = "cm", "mm"
_SPECIES, _COLOURS, _SMELLS = (
    longest_first(SPECIES_WORDS),
    longest_first(COLOURS),
    longest_first(list(SMELLS)),
)


def _spot(line: Line) -> str:
    """The spot of a plug: after the word "spot", or a short mark such as A2."""
    for word, token in pairwise(line.tokens):
        if word.raw == "spot" and not word.used and not token.used:
            word.used = token.used = True
            return token.raw.upper()
    for token in line.tokens:
        mark = (
            token.kind == "word"
            and len(token.raw) <= 3
            and token.raw[-1].isdigit()
            and token.raw[0].isalpha()
        )
        if mark and not token.used:
            token.used = True
            return token.raw.upper()
    return ""


_CROWNS = longest_first(CROWN_WORDS)
LOOK_WORDS = frozenset(
    {"growth", "grown", "smell", "stench", "smells", "smelly", *(w.split()[-1] for w in COLOURS)}
)


def plug_said(line: Line) -> Noted:
    """A plug cut: zone, spot, depth, crowns, control, ice above it."""
    tokens = line.tokens
    area, zone = line.place()
    spot = _spot(line)
    values: dict[str, Any] = {"area": area, "zone": zone, "spot": spot}
    day, clock = take_day(tokens, line.today), take_clock(tokens)
    values["crowns"] = take_first(tokens, _CROWNS) or "unknown"
    values["control"] = take(tokens, ("control",))
    for word, token in pairwise(tokens):
        if word.raw == "batch" and not word.used:
            values["batch"] = token.raw.upper()
            word.used = token.used = True
    values["ice_mm"] = _ice_above(line)
    depth = line.number(*LENGTHS) or line.after("depth", "deep")
    if depth is not None:
        values["depth_mm"] = depth.value * MM[depth.unit or BARE_DEPTH_UNIT]
    line.done(["crowns", "control", "batch", "spot", "ice", *line.places.labels()])
    return Noted("plugs", values, day, clock)


def _ice_above(line: Line) -> float | None:
    if take(line.tokens, ("no", "ice")):
        return 0.0
    ice = line.after("ice")
    if ice is None:
        return None
    found = length_of(ice, line, BARE_ICE_UNIT)
    return float(found["value"]) * MM[found["unit"]]


def look_values(line_text: str, tokens: list[Token] | None = None) -> dict[str, Any]:
    """Species, new growth, colour and smell named in a text; growth as a share."""
    found = tokens_of(line_text) if tokens is None else tokens
    values: dict[str, Any] = {"species": take_first(found, _SPECIES) or "all"}
    values["smell"] = SMELLS.get(take_first(found, _SMELLS) or "", "")
    if take(found, ("no", "growth")) or take(found, ("no", "new", "growth")):
        values["new_growth"] = 0.0
    values["colour"] = take_first(found, _COLOURS) or ""
    return values


def look_said(line: Line) -> Noted:
    """A look at a plug: which, when, new growth of which grass, colour, smell."""
    tokens = line.tokens
    day_warm = None
    for token in tokens:
        if token.kind == "word" and token.raw.startswith("day") and token.raw[3:].isdigit():
            day_warm, token.used = float(token.raw[3:]), True
    counted = line.after("day")
    day_warm = counted.value if counted is not None else day_warm
    plug = next((t for t in tokens if t.kind == "word" and t.raw[0] == "p" and t.raw[1:].isdigit()), None)
    values: dict[str, Any] = {}
    if plug is not None:
        plug.used = True
        values["plug"] = plug.raw.upper()
    else:
        area, zone = line.place()
        values |= {"area": area, "zone": zone, "spot": _spot(line)}
    day, clock = take_day(tokens, line.today), take_clock(tokens)
    take(tokens, ("new",)) if any(t.raw == "growth" for t in tokens) and not any(
        t.raw == "no" for t in tokens
    ) else None
    values |= look_values(line.text, tokens)
    if "new_growth" not in values:
        said = any(t.raw in ("growth", "grown") for t in tokens)
        growth = (
            line.after("growth", "grown") or line.number("percent") or (line.number("") if said else None)
        )
        if growth is not None:
            values["new_growth"] = growth.value / 100.0
        take(tokens, ("growth",))
    line.done(["growth", *LOOK_WORDS, *(w for words in SPECIES_WORDS.values() for w in words)])
    return Noted("looks", values, day, clock, day_warm)
