"""Bars of days: each option of a zone from its early to its late spring, on one scale."""

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup, escape

from winterrisk.science.day_words import MONTHS

Row = Mapping[str, Any]
WIDTH, ROW, LEFT, TOP = 720, 26, 150, 26
LABEL: Final = 30
"""Room that the name of a month takes [px]."""
MARKS: Final = (("work", "#6b7f8c"), ("up", "#4c8a3f"), ("play", "#8a3b12"))
"""Parts of an option in the order of a spring, with their colours."""


def zone_bars(zone: Row, record: Row) -> Markup:
    """SVG of one zone: a line an option with work, emergence and play as bars from P10 to P90, P50 as a tick."""
    first = dt.date.fromisoformat(record["on"])
    ends = [d for o in zone["options"] for days in o["days"].values() for d in days.values() if d]
    opening = dt.date.fromisoformat(record["opening"])
    last = max([opening, *map(dt.date.fromisoformat, ends)]) + dt.timedelta(days=7)
    span = max((last - first).days, 1)

    def x(day: str | None) -> float:
        when = last if day is None else dt.date.fromisoformat(day)
        return LEFT + (WIDTH - LEFT - 10) * max((when - first).days, 0) / span

    rows: list[str] = []
    height = TOP + ROW * len(zone["options"]) + 8
    month = first.replace(day=1)
    while month <= last:
        if month >= first:
            at = x(month.isoformat())
            rows.append(f'<line x1="{at:.1f}" y1="{TOP - 6}" x2="{at:.1f}" y2="{height}" stroke="#ddd"/>')
            if at + LABEL <= WIDTH:
                name = MONTHS[month.month - 1]
                rows.append(f'<text x="{at + 3:.1f}" y="14" font-size="12" fill="#555">{name}</text>')
        month = (month + dt.timedelta(days=32)).replace(day=1)
    if opening >= first:
        at = x(record["opening"])
        rows.append(
            f'<line x1="{at:.1f}" y1="{TOP - 6}" x2="{at:.1f}" y2="{height}" stroke="#1c2320" stroke-dasharray="4 3"/>'
        )
    for number, option in enumerate(zone["options"]):
        y = TOP + ROW * number
        bold = ' font-weight="bold"' if option["means"] == zone["proposed"] else ""
        rows.append(f'<text x="4" y="{y + 14}" font-size="13"{bold}>{escape(option["means"])}</text>')
        for name, colour in MARKS:
            days = option["days"].get(name)
            if days is None or days["p10"] is None or (option["means"] == "wait" and name == "work"):
                continue
            low, middle, high = (x(days[p]) for p in ("p10", "p50", "p90"))
            rows.append(
                f'<rect x="{low:.1f}" y="{y + 4}" width="{max(high - low, 3):.1f}" height="12" fill="{colour}" '
                f'opacity="0.55"/><line x1="{middle:.1f}" y1="{y + 1}" x2="{middle:.1f}" y2="{y + 19}" '
                f'stroke="{colour}" stroke-width="3"/>'
            )
    title = escape(f"{zone['zone']}: days of each option")
    return Markup(
        f'<svg viewBox="0 0 {WIDTH} {height}" role="img" aria-label="{title}" class="days" '
        f'font-family="system-ui, sans-serif"><title>{title}</title>{"".join(rows)}</svg>'
    )
