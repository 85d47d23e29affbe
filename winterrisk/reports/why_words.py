"""Why it happened there, in words: what one change would have meant, with its range."""

from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.reports.season_units import percent

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
