"""Dates and winters as they are typed."""

import datetime as dt
from pathlib import Path

from winterrisk.course import winter_start
from winterrisk.science.faults import Fault, Refused


def day_of(text: str, option: str = "--on") -> dt.date:
    """The date typed as 2025-02-26.

    Raises:
        Refused: anything else.
    """
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise Refused(
            Fault(option, repr(text), "a date such as 2025-02-26", "write year-month-day")
        ) from None


def winter_named(text: str) -> str:
    """The winter typed as 2024-25.

    Raises:
        Refused: anything else.
    """
    try:
        winter_start(text)
    except ValueError:
        move = "write both years, the second with two digits"
        raise Refused(Fault("WINTER", repr(text), "a winter such as 2024-25", move)) from None
    return text


def map_file(path: Path) -> Path:
    """The file of a map: .png or .pdf, in a folder that is there.

    Raises:
        Refused: anything else.
    """
    if path.suffix.lower() not in (".png", ".pdf") or not path.parent.is_dir():
        move = "name a file such as map.png in a folder that exists"
        raise Refused(Fault("--map", str(path), "a .png or .pdf file", move))
    return path
