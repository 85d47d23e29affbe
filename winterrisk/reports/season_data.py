"""How good the data were: nights worked and missing, age of the weather, hours filled, looks and plugs."""

import datetime as dt
from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median
from typing import Any

from winterrisk.reports.night_record import rounded

Row = dict[str, Any]
Night = Mapping[str, Any]

DECISIVE = ("air_temperature", "precipitation")
"""Measurements whose gaps are counted (judged)."""
GAPS_BELOW = 0.95
"""Measured share of the last 72 h below which a night had gaps [1] (judged: four hours missing)."""


def date_spells(dates: Sequence[str]) -> list[Row]:
    """Dates (ISO, in order) drawn together into spells without a gap: first, last, days."""
    rows: list[Row] = []
    for date in dates:
        if rows and _after(rows[-1]["last"]) == date:
            rows[-1] |= {"last": date, "days": rows[-1]["days"] + 1}
        else:
            rows.append({"first": date, "last": date, "days": 1})
    return rows


def _after(date: str) -> str:
    return (dt.date.fromisoformat(date) + dt.timedelta(days=1)).isoformat()


def missing_nights(dates: Sequence[str]) -> list[Row]:
    """Spells between the first and the last night on which no night was worked."""
    if not dates:
        return []
    first, last = dt.date.fromisoformat(dates[0]), dt.date.fromisoformat(dates[-1])
    there = set(dates)
    every = [(first + dt.timedelta(days=i)).isoformat() for i in range((last - first).days + 1)]
    return date_spells([date for date in every if date not in there])


def longest_without_look(done: Sequence[str], first: str, last: str) -> Row | None:
    """The longest spell between two looks of anybody anywhere from first to last: from, to, days."""
    days = [first, *sorted({d for d in done if first <= d <= last}), last]
    spells = [
        {"first": a, "last": b, "days": (dt.date.fromisoformat(b) - dt.date.fromisoformat(a)).days}
        for a, b in pairwise(days)
    ]
    return max(spells, key=lambda row: row["days"], default=None)


def _measured(share_72h: Mapping[str, float]) -> float:
    """Share of the last 72 h measured of what decides most [1]; nothing told counts as nothing measured."""
    return min(float(share_72h.get(name, 0.0)) for name in DECISIVE)


def data_health(nights: Sequence[Night], looks: Sequence[str]) -> Row:
    """Counts and spells that say how far the page can be trusted.

    Args:
        nights: what was said, one a date, in order. looks: dates (ISO) on which somebody looked, one a row.
    """
    dates = [night["on"] for night in nights]
    ages = [float(night["data"]["age_hours"]) for night in nights]
    shares = [_measured(night["data"]["share_72h"]) for night in nights]
    silent = [night["on"] for night in nights if night["cannot_say"]]
    return {
        "nights": len(nights),
        "first": dates[0] if dates else None,
        "last": dates[-1] if dates else None,
        "missing": missing_nights(dates),
        "cannot_say": date_spells(silent),
        "age_hours_median": rounded(median(ages)) if ages else None,
        "age_hours_most": rounded(max(ages)) if ages else None,
        "nights_with_gaps": sum(share < GAPS_BELOW for share in shares),
        "filled_hours": nights[-1]["data"]["filled_hours"] if nights else None,
        "ahead": sorted({str(night["data"]["ahead"]) for night in nights}),
        "looks": len(looks),
        "without_look": longest_without_look(looks, dates[0], dates[-1]) if nights else None,
    }
