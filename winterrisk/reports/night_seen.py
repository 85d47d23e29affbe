"""What people saw, did and cut in each zone lately, in words, newest first."""

import datetime as dt
from typing import Any, Final

import numpy as np

from winterrisk.book import Record
from winterrisk.course import Course, winter_of
from winterrisk.reports.season_days import of_winter
from winterrisk.reports.season_done import done_in_zone
from winterrisk.reports.season_plugs import cut_words, plug_rounds

MOST_ROWS: Final = 6
"""Rows shown of a zone (judged); the book has all."""

Row = dict[str, Any]


def seen_lately(
    book: Record, course: Course, on: dt.date, now: np.datetime64, values: dict[str, float]
) -> dict[str, list[Row]]:
    """Rows date (ISO), words of every zone, by label: looks, work, plugs cut and their verdicts up to `now`.

    Args:
        now: instant of the night (UTC). values: thresholds, to read the plugs with.
    """
    winter, timezone, units = winter_of(on), course.timezone, course.place.units
    plugs = book.plugs[book.plugs["cut"] <= now]
    looks = book.looks[book.looks["time"] <= now]
    rounds = plug_rounds(plugs, looks, book.batches, winter, timezone, values)
    observed = of_winter(book.observations[book.observations["time"] <= now], "time", winter, timezone)
    seen = {}
    for view in course.zones():
        rows = [{"date": r["date"], "words": r["words"]} for r in done_in_zone(observed, view, units)]
        for there in (r for r in rounds if r["zone"] == view.label):
            rows.append({"date": there["cut"], "words": f"{cut_words(there, units)}; {there['words']}"})
        seen[view.label] = sorted(rows, key=lambda r: r["date"], reverse=True)[:MOST_ROWS]
    return seen
