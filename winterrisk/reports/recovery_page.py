"""The recovery plan as one HTML page: reopening first, then zone by zone, then why it happened there."""

from collections.abc import Mapping
from typing import Any

from winterrisk.reports.night_page import environment
from winterrisk.reports.recovery_bars import zone_bars
from winterrisk.reports.recovery_words import (
    amount_words,
    area_words,
    blind_line,
    cost_words,
    damage_words,
    days_between,
    hours_words,
    is_open,
    short,
    survey_line,
)
from winterrisk.reports.units import distance_words
from winterrisk.reports.why_words import effect_words, kept_by_change, kept_words, why_lines


def recovery_page(record: Mapping[str, Any]) -> str:
    """The plan as one self-contained HTML page, everything that people wrote escaped."""
    made = environment()
    made.globals |= {
        "amount": lambda option: amount_words(option, record["units"]),
        "area_line": lambda area: area_words(area, record),
        "blind": blind_line(record),
        "bars": lambda zone: zone_bars(zone, record),
        "between": lambda days: days_between(days, record["last_day"]),
        "cost": lambda zone: cost_words(zone, record["currency"]),
        "damage": damage_words,
        "distance": distance_words(record["rules"]["distance_m"], record["units"]),
        "effect": effect_words,
        "hours": hours_words,
        "is_open": is_open(record),
        "short": short,
        "survey_line": survey_line(record),
    }
    page = made.get_template("recovery.html")
    title = f"{record['course']}, recovery plan of {short(record['on'])} {record['on'][:4]}"
    sizes = {zone["zone"]: zone["size_m2"] for zone in record["zones"]}
    kept = [kept_words(row, record["units"]) for row in kept_by_change(record["why"], sizes)]
    return page.render(title=title, record=record, why=why_lines(record["why"]), kept=kept)
