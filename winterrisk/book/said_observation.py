"""A line about what somebody saw or did."""

import datetime as dt
from typing import Any

from winterrisk.book.kinds import KINDS
from winterrisk.book.line_dates import take_clock, take_day
from winterrisk.book.line_reader import (
    KIND_LAST_WORDS,
    KIND_PHRASES,
    LENGTHS,
    Line,
    Noted,
    length_of,
    longest_first,
    take_first,
)
from winterrisk.book.line_tokens import take
from winterrisk.book.line_words import ABOUT, COVER_KINDS, ICE_LOOKS, NOTHING_OF, SHARES

EXACT_DAY, VAGUE_DAY = 1.0, 4.0
"""Doubt of a remembered day [d]: as said, and where somebody says "about" (judged)."""
SNOW_ICE = "snow-ice"
_NOTHING = longest_first(
    {kind: [w for w, k in NOTHING_OF.items() if k == kind] for kind in set(NOTHING_OF.values())}
)
_ICE, _COVERS, _SHARES = longest_first(ICE_LOOKS), longest_first(COVER_KINDS), longest_first(list(SHARES))


def _share(line: Line) -> float:
    words = take_first(line.tokens, _SHARES)
    if words is not None:
        return SHARES[words]
    percent = line.number("percent")
    return 1.0 if percent is None else percent.value / 100.0


def _gas(line: Line) -> dict[str, Any]:
    oxygen, carbon = line.after("o2", "oxygen"), line.after("co2", "carbon")
    if oxygen is None:
        raise line.fault("no oxygen", "oxygen and carbon dioxide, such as o2 8% co2 9%")
    detail = "" if carbon is None else f"{carbon.value:g}"
    return {"kind": "gas_seen", "value": oxygen.value, "unit": "percent", "detail": detail, "share": 1.0}


def _ice_since(line: Line) -> dict[str, Any]:
    vague = any(t.raw in ABOUT for t in line.tokens)
    doubts = [t for t in line.tokens if t.kind == "doubt"]
    for token in doubts:
        token.used = True
    day = take_day(line.tokens, line.today)
    if day is None:
        raise line.fault("no day after 'since'", "a day, such as 1 jan or 2025-01-01")
    days = doubts[0].value if doubts else VAGUE_DAY if vague else EXACT_DAY
    return {"kind": "ice_from", "value": days, "unit": "d", "since": day}


def observation_said(line: Line) -> Noted:
    """What was seen or done: kind, value, share of the zone, and the day where one was named."""
    tokens = line.tokens
    area, zone = line.place(whole=True)
    values: dict[str, Any] = {"area": area, "zone": zone}
    since = any(take(tokens, (word,)) for word in ("since", "from"))
    day: dt.date | None = None
    if since and any(t.raw == "ice" for t in tokens):
        take(tokens, ("ice",))
        values |= _ice_since(line)
        day = values.pop("since")
    elif any(t.raw in ("o2", "oxygen") for t in tokens):
        day = take_day(tokens, line.today)
        values |= _gas(line)
        take(tokens, ("gas",))
    else:
        day = take_day(tokens, line.today)
        nothing = take_first(tokens, _NOTHING)
        kind = nothing or take_first(tokens, KIND_PHRASES)
        if kind is None:
            line.done(KIND_LAST_WORDS)
            raise line.fault("nothing seen or done", "ice, snow, water, cover on, cleared, ...")
        values["kind"] = kind
        values |= _measured(line, kind, nothing is not None)
    clock = take_clock(tokens)
    if values["kind"] != "gas_seen":
        values["share"] = _share(line)
    if values["kind"] in ("ice_seen", "ice_from"):
        snow_ice = any(t.raw == SNOW_ICE for t in tokens)
        values["detail"] = take_first(tokens, _ICE) or ("white" if snow_ice else "")
    if values["kind"] == "cover_on":
        values["detail"] = take_first(tokens, _COVERS) or ""
    line.done([*KIND_LAST_WORDS, *(w for words in ICE_LOOKS.values() for w in words), *line.places.labels()])
    return Noted("observations", values, day, clock)


def _measured(line: Line, kind: str, nothing: bool) -> dict[str, Any]:
    unit = KINDS[kind].unit
    if nothing:
        return {"value": 0.0, "unit": unit}
    if unit in ("mm", "cm"):
        token = line.number(*LENGTHS) or line.number("")
        found = length_of(token, line, unit)
        if token is None and KINDS[kind].needs_value:
            raise line.fault(f"{KINDS[kind].words} without a depth", "a depth, such as 12 cm or 5 in")
        return found
    if unit == "degC":
        token = line.number("degC", "degF") or line.number("")
        if token is None:
            raise line.fault("no temperature", "a temperature, such as -4 C or 25 F")
        return {"value": token.value, "unit": token.unit or ("degF" if line.inches else "degC")}
    return {}
