"""The season as tables: zones, what was said, plugs, and what was seen and done."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from winterrisk.reports.season_causes import cause_words

Season = Mapping[str, Any]

COLUMNS: dict[str, tuple[str, ...]] = {
    "zones": (
        "zone", "area", "kind", "template", "size_m2", "survey_date", "dead_low", "dead_high", "cause", "score",
        "treated", "first_look", "first_pull", "first_plugs_cut", "first_verdict", "first_dead_plug",
        "highest_chance", "highest_on", "last_chance", "last_low", "last_high", "last_on", "nights_cannot_say",
    ),
    "calls": ("zone", "kind", "first", "last", "nights", "words"),
    "plugs": (
        "zone", "cut", "number", "controls", "ice_mm", "spots", "state", "first_called", "first_dead", "settled",
        "words",
    ),
    "seen": ("zone", "date", "sort", "kind", "words"),
}  # fmt: skip
"""Tables and their columns, in order. Sizes in m2, shares and chances 0-1, ice in mm, whatever the reader's
units; `words` as on the page."""


def season_tables(season: Season) -> dict[str, pd.DataFrame]:
    """The tables of a season by name, in the order of the page; empty ones keep their columns.

    Args:
        season: the record of `season_record`.
    """
    zones = season["zones"]
    rows: dict[str, list[dict[str, Any]]] = {
        "zones": [_zone(zone) for zone in zones],
        "calls": [{"zone": zone["zone"], **said} for zone in zones for said in zone["said"]],
        "plugs": [_plugs(zone["zone"], there) for zone in zones for there in zone["plugs"]],
        "seen": [{"zone": zone["zone"], **done} for zone in zones for done in zone["done"]],
    }
    return {name: pd.DataFrame(rows[name], columns=list(columns)) for name, columns in COLUMNS.items()}


def _zone(zone: Mapping[str, Any]) -> dict[str, Any]:
    survey, known, chances = zone["survey"] or {}, zone["known"], zone["chances"]
    top = max(chances, key=lambda row: row["chance"], default={})
    last = chances[-1] if chances else {}
    return {
        **{name: zone[name] for name in ("zone", "area", "kind", "template", "size_m2", "score")},
        "survey_date": survey.get("date"),
        "dead_low": survey.get("low"),
        "dead_high": survey.get("high"),
        "cause": cause_words(survey["cause"]) if survey else None,
        "treated": "; ".join(f"{work['date']} {work['words']}" for work in zone["treated"]),
        "first_look": known["look"],
        "first_pull": known["pull"],
        "first_plugs_cut": known["cut"],
        "first_verdict": known["verdict"],
        "first_dead_plug": known["dead"],
        "highest_chance": top.get("chance"),
        "highest_on": top.get("on"),
        "last_chance": last.get("chance"),
        "last_low": last.get("low"),
        "last_high": last.get("high"),
        "last_on": last.get("on"),
        "nights_cannot_say": len(zone["cannot_say"]),
    }


def _plugs(zone: str, plugs: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "zone": zone,
        **{name: plugs[name] for name in ("cut", "number", "controls", "state", "settled", "words")},
        "ice_mm": max(plugs["ice_mm"], default=None),
        "spots": ", ".join(plugs["spots"]),
        "first_called": plugs["called"],
        "first_dead": plugs["dead_known"],
    }
