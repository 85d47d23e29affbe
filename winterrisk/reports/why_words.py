"""Why it happened there, in words: what one change would have meant, with its range."""

from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.reports.units import percent, size_words

Row = Mapping[str, Any]
LEAST = 0.005


def effect_words(effect: Row) -> str:
    """A change of chance in points with its range: '-31 points (-48 to -12)'."""
    middle, low, high = (100.0 * effect[name] for name in ("middle", "low", "high"))
    if max(abs(middle), abs(low), abs(high)) < 100.0 * LEAST:
        return "no change"
    return f"{_signed(middle)} points ({_signed(low)} to {_signed(high)})"


def days_words(effect: Row) -> str:
    """A change of days under ice with its range: '-18 d (-30 to -4)'."""
    middle, low, high = effect["middle"], effect["low"], effect["high"]
    if max(abs(middle), abs(low), abs(high)) < 0.5:
        return "no change"
    return f"{_signed(middle)} d ({_signed(low)} to {_signed(high)})"


def _signed(value: float) -> str:
    """A whole number with its sign; 0 has none."""
    return f"{value:+.0f}" if abs(value) >= 0.5 else "0"


CHANGES = {
    "sun": "more winter sun and open sky",
    "drainage": "better surface drainage",
    "bluegrass": "less annual bluegrass",
    "cleared": "snow and ice cleared",
    "cover": "a cover on frozen ground",
    "not banked": "no snow banked on the drain side",
}
"""Changes by name, as they are told of the whole course."""


def kept_by_change(rows: Sequence[Row], sizes: Mapping[str, float]) -> list[dict[str, Any]]:
    """Turf that each change would have kept alive in all the zones it was replayed in [m2], most first.

    The ends add up the ends of the zones, as if all went well or badly together.

    Args:
        rows: of `why_there`. sizes [m2]: zone -> size.
    """
    found = []
    for name, words in CHANGES.items():
        there = [row for row in rows if row["change"] == name]
        if not there:
            continue
        kept = {
            end: sum(-row["dead"][of] * sizes[row["zone"]] for row in there)
            for end, of in (("low", "high"), ("middle", "middle"), ("high", "low"))
        }
        found.append({"change": name, "words": words, "zones": len(there), **kept})
    return sorted(found, key=lambda row: -row["middle"])


def kept_words(row: Row, units: str) -> str:
    """'less annual bluegrass, in 2 zones: about 80 m² more alive (40 m² to 90 m²)'; 'less' where it would hurt,
    'from 6 m² less to 30 m² more' where nobody knows which."""
    zones = f"in {row['zones']} zone{'' if row['zones'] == 1 else 's'}"
    word = "less" if row["middle"] < 0 else "more"
    about, low, high = (size_words(abs(row[end]), units) for end in ("middle", "low", "high"))
    if row["low"] * row["high"] < 0:
        ends = f"from {low} less to {high} more"
    else:
        ends = f"{high} to {low}" if word == "less" else f"{low} to {high}"
    return f"{row['words']}, {zones}: about {about} {word} alive ({ends})"


def why_lines(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Rows of the table of changes, as text: zone, change, ice, chance, note; ranked as they came."""
    return [
        {
            "zone": row["zone"],
            "change": row["words"],
            "ice": days_words(row["ice_days"]),
            "chance": effect_words(row["chance"]),
            "before": percent(row["chance_as_it_was"]),
            "note": row["note"],
        }
        for row in rows
    ]
