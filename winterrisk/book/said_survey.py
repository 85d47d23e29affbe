"""A line about a spring survey: how much of a zone is dead, and of what."""

from typing import Any

from winterrisk.book.line_dates import take_day
from winterrisk.book.line_reader import Line, Noted, longest_first, take_first
from winterrisk.book.line_tokens import take
from winterrisk.book.line_words import BAND_WORDS, CAUSE_WORDS, SPECIES_WORDS

_SPECIES, _CAUSES, _BANDS = (
    longest_first(SPECIES_WORDS),
    longest_first(CAUSE_WORDS),
    longest_first(list(BAND_WORDS)),
)


def survey_said(line: Line) -> Noted:
    """Dead share of a zone, low to high, and the cause where one was named."""
    tokens = line.tokens
    area, zone = line.place()
    day = take_day(tokens, line.today)
    values: dict[str, Any] = {"area": area, "zone": zone}
    values["species"] = take_first(tokens, _SPECIES) or "all"
    span = next((t for t in tokens if t.kind == "range" and not t.used and t.unit in ("", "percent")), None)
    if span is not None:
        span.used = True
        low, high = span.value / 100.0, span.high / 100.0
    else:
        one = line.number("percent") or line.number("")
        band = None if one is not None else take_first(tokens, _BANDS)
        if one is None and band is None:
            raise line.fault("no share", "the dead share, such as dead 30-50")
        low, high = (one.value / 100.0,) * 2 if one is not None else BAND_WORDS[band or ""]
    if high > 1:
        raise line.fault(f"{100 * high:g} %", "a dead share from 0 to 100 %")
    for word in ("dead", "lost", "loss", "damage", "killed", "winterkill"):
        take(tokens, (word,))
    values |= {"dead_low": low, "dead_high": high, "cause": take_first(tokens, _CAUSES) or "unknown"}
    line.done(["dead", *(w for words in CAUSE_WORDS.values() for w in words), *line.places.labels()])
    return Noted("surveys", values, day)
