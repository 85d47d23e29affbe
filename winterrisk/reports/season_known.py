"""What was known when: first call, first plugs and first dead plug of each zone, before the survey."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from winterrisk.reports.season_said import first_call

Row = dict[str, Any]


def known_of_zone(said: Iterable[Row], rounds: Iterable[Row], survey: Row | None) -> Row:
    """First dates (ISO) of a zone, each None where it never came: look, pull, cut, verdict, dead, survey."""
    rows, plugs = list(said), [row for row in rounds if row["state"] != "void"]
    until = survey["date"] if survey else None
    return {
        "look": first_call(rows, ("look",), until),
        "pull": first_call(rows, ("pull", "act"), until),
        "cut": min((row["cut"] for row in plugs), default=None),
        "verdict": min((row["called"] for row in plugs if row["called"]), default=None),
        "dead": min((row["dead_known"] for row in plugs if row["dead_known"]), default=None),
        "survey": until,
    }


def days_before(date: str | None, survey: str | None) -> int | None:
    """Days from a date to the survey [d]; None where one of them is missing."""
    if date is None or survey is None:
        return None
    return (dt.date.fromisoformat(survey) - dt.date.fromisoformat(date)).days


def firsts(zones: Iterable[Row]) -> dict[str, Row | None]:
    """The first of each kind on the whole course: date, zone and days before that zone's survey."""
    every = list(zones)
    found: dict[str, Row | None] = {}
    for kind in ("look", "pull", "verdict", "dead"):
        dated = [(z["known"][kind], z["zone"], z["known"]["survey"]) for z in every if z["known"][kind]]
        first = min(dated, key=lambda row: row[0], default=None)
        found[kind] = first and {"date": first[0], "zone": first[1], "days": days_before(first[0], first[2])}
    return found
