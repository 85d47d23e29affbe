"""What the strips of a zone show, in words, for those who do not see them."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from winterrisk.reports.strip_series import Strip
from winterrisk.reports.units import measure_words, percent, share_range
from winterrisk.reports.words import day_in_words
from winterrisk.thresholds import LABELS


def strip_words(strip: Strip, zone: Mapping[str, Any], until: str, units: str) -> tuple[str, str]:
    """Title and description of a zone's picture.

    Args:
        zone: the night's record of it. until: ISO date of the last day spoken of.
    """
    title = f"{zone['zone']}: day by day, {_day(strip.days[0])} to {_day(strip.days[-1])}"
    behind = range(strip.measured)
    coldest = min(behind, key=lambda i: strip.crown[i])
    closest = min(behind, key=lambda i: strip.crown[i] - strip.kill[i])
    deepest = max(behind, key=lambda i: strip.snow[i])
    iced = sum(value > 0 for value in strip.ice[: strip.measured])
    tender = LABELS.get(strip.species, strip.species)

    def degrees(value: float) -> str:
        return measure_words(round(value, 1), "degC", units)

    parts = [
        f"Crown coldest {degrees(strip.crown[coldest])} on {_day(strip.days[coldest])}.",
        f"Closest to the kill temperature of {tender} on {_day(strip.days[closest])}: crown "
        f"{degrees(strip.crown[closest])}, kill temperature {degrees(strip.kill[closest])}.",
        f"Deepest snow {measure_words(round(100 * strip.snow[deepest], 0), 'cm', units)} on "
        f"{_day(strip.days[deepest])}; ice on {iced} days.",
        f"Over a quarter dead already: {percent(zone['chance_now']['parts'])}; by {_day(until)}: "
        f"{percent(zone['chance'])} ({share_range(zone['low'], zone['high'])}).",
    ]
    return title, " ".join(parts)


def _day(text: str) -> str:
    return day_in_words(dt.date.fromisoformat(text))
