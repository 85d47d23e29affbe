"""Reads the record of a season report that stands from before."""

import json
from pathlib import Path
from typing import Any

RECORD = "season.json"
PARTS = ("course", "winter", "version", "units", "damage", "damage_of", "zones", "data", "thresholds")
"""What a record must have to be compared."""


def read_season(folder: Path) -> dict[str, Any] | None:
    """The record in a report's folder; None where there is none or it cannot be read as one."""
    try:
        found = json.loads((folder / RECORD).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    whole = isinstance(found, dict) and all(name in found for name in PARTS)
    return found if whole else None
