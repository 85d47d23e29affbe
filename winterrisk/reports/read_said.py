"""Reads how likely past nights of a winter said it was that a zone is dead already."""

import datetime as dt
import json
from collections import defaultdict
from pathlib import Path
from typing import Any

from winterrisk.reports.strip_series import DAYS_BEHIND
from winterrisk.reports.write_night import DATE, written_nights
from winterrisk.science.read_capped import capped_text

Row = dict[str, Any]


def read_said(folder: Path, on: dt.date) -> dict[str, list[Row]]:
    """What the last 90 nights before `on` said first of each zone, by label, in order of nights.

    A row: on (ISO date), chance, low, high [1] that more than a quarter is dead already. A night with
    hindsight, and a file that cannot be read, leave a gap; what went before on another winter too.
    """
    first, last = (on - dt.timedelta(days=DAYS_BEHIND)).isoformat(), on.isoformat()
    nights = folder / "nights"
    found = [p.name for p in nights.iterdir() if DATE.fullmatch(p.name)] if nights.is_dir() else []
    said: dict[str, list[Row]] = defaultdict(list)
    for date in sorted(name for name in found if first <= name < last):
        for run in written_nights(folder, date)[:1]:
            for row in _rows(run / "night.json"):
                said[row["zone"]].append(row["said"])
    return dict(said)


def _rows(path: Path) -> list[Row]:
    try:
        night = json.loads(capped_text(path))
        return [] if night["hindsight"] else [said_now(night["on"], zone) for zone in night["data"]["zones"]]
    except (OSError, ValueError, KeyError, TypeError):
        return []


def said_now(on: str, zone: Row) -> Row:
    """Label, and what a night's record of a zone says is dead already."""
    chance = zone["chance_now"]["parts"]
    low, high = zone.get("now_low", chance), zone.get("now_high", chance)
    return {"zone": zone["zone"], "said": {"on": on, "chance": chance, "low": low, "high": high}}
