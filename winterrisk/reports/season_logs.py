"""The rows of the logs a season is rebuilt from, each with a name and words of its own."""

import datetime as dt
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pandas as pd

from winterrisk.book import Record
from winterrisk.course import Course
from winterrisk.reports.season_causes import cause_words
from winterrisk.reports.season_days import local_date, of_winter
from winterrisk.reports.season_done import observation_words
from winterrisk.reports.season_plugs import cut_words
from winterrisk.reports.units import percent, share_range
from winterrisk.reports.words import day_in_words
from winterrisk.thresholds import LABELS

Row = dict[str, Any]
Night = Mapping[str, Any]
KEYS: dict[str, tuple[str, ...]] = {
    "survey": ("winter", "date", "zone", "species"),
    "night": ("on",),
    "plug": ("id",),
    "look": ("plug", "time", "species"),
    "decision": ("time",),
    "observation": ("time", "zone", "kind"),
    "batch": ("id",),
    "thresholds": ("version", "adopted"),
}
"""What makes a row the same row though its figures differ; most important log first."""
NUMBERED = ("survey", "look", "decision", "observation")
"""Rows whose id counts lines and moves when one of them goes: it is no part of what was written."""


def season_logs(course: Course, book: Record, nights: Sequence[Night], winter: str) -> dict[str, list[Row]]:
    """Every row that bears on a season, by log: what it is about, what it says in parts, and its columns.

    Args:
        book: every row; surveys of other winters are kept as well, for the report compares with them.
        nights: what each night of the winter said first, in order.
    """
    timezone, units = course.timezone, course.place.units
    plugs = of_winter(book.plugs, "cut", winter, timezone)
    zones = dict(zip(plugs["id"], plugs["zone"], strict=True))
    looks = book.looks[book.looks["plug"].isin(plugs["id"])]
    batches = book.batches[book.batches["id"].isin(plugs["batch"])]
    told = {
        "survey": [(r, *_survey(r, winter)) for r in _rows(book.surveys)],
        "night": [(_night_columns(n), f"night of {_day(n['on'])}", _night(n)) for n in nights],
        "plug": [(r, *_plug(r, units)) for r in _rows(plugs)],
        "look": [(r, *_look(r, zones, timezone)) for r in _rows(looks)],
        "decision": [(r, *_decision(r)) for r in _rows(of_winter(book.decisions, "time", winter, timezone))],
        "observation": [
            (r, *_observation(r, units))
            for r in _rows(of_winter(book.observations, "time", winter, timezone))
        ],
        "batch": [(r, f"batch {r['id']} of plugs", [_batch(r)]) for r in _rows(batches)],
        "thresholds": [
            (r, f"thresholds {r['version']}", [f"adopted {_day(str(r['adopted'])[:10])}"])
            for r in _rows(book.thresholds)
        ],
    }
    return {
        log: [{"about": about, "says": says, "row": _columns(log, row)} for row, about, says in rows]
        for log, rows in told.items()
    }


def _rows(frame: pd.DataFrame) -> Iterator[pd.Series]:
    return (row for _, row in frame.iterrows())


def _columns(log: str, row: Mapping[str, Any]) -> dict[str, str]:
    """The columns of a row as text; empty where nothing was written."""
    left_out = {"day", "area"} | ({"id"} if log in NUMBERED else set())
    return {str(name): _text(value) for name, value in row.items() if name not in left_out}


def _text(value: Any) -> str:
    if isinstance(value, pd.Timestamp):
        return value.isoformat()
    if value is pd.NaT or (isinstance(value, float) and value != value):
        return ""
    return f"{value:g}" if isinstance(value, float) else str(value)


def _day(date: str) -> str:
    return day_in_words(dt.date.fromisoformat(date))


def _with_who(parts: list[str], who: str) -> list[str]:
    return [*parts, who] if who else parts


def _survey(row: pd.Series, winter: str) -> tuple[str, list[str]]:
    grass = "" if row["species"] == "all" else f", {LABELS.get(row['species'], row['species'])}"
    other = "" if row["winter"] == winter else f", winter {row['winter']}"
    about = f"survey of {row['zone']}{grass}, {_day(row['date'].date().isoformat())}{other}"
    dead = f"{share_range(row['dead_low'], row['dead_high'])} dead"
    return about, _with_who([dead, cause_words(row["cause"])], row["who"])


def _plug(row: pd.Series, units: str) -> tuple[str, list[str]]:
    ice = [] if pd.isna(row["ice_mm"]) else [float(row["ice_mm"])]
    words = cut_words({"number": 1, "controls": int(row["control"]), "ice_mm": ice}, units)
    return f"plug {row['id']} of {row['zone']}", _with_who(
        [f"{_day(row['day'].isoformat())} {words}"], row["who"]
    )


def _look(row: pd.Series, zones: Mapping[str, str], timezone: str) -> tuple[str, list[str]]:
    date = _day(local_date(row["time"], timezone).isoformat())
    grass = "" if row["species"] == "all" else f"{LABELS.get(row['species'], row['species'])}, "
    growth = "" if pd.isna(row["new_growth"]) else f"{percent(row['new_growth'])} new growth"
    words = [part for part in (growth, row["colour"]) if part]
    return f"look at plug {row['plug']} of {zones[row['plug']]}", _with_who(
        [f"{date} {grass}{', '.join(words)}".rstrip(", ")], row["who"]
    )


def _decision(row: pd.Series) -> tuple[str, list[str]]:
    told = [f"told {row['told']}"] if row["told"] else []
    parts = [part for part in (row["text"], row["reason"], row["who"]) if part]
    return f"decision of {_day(row['day'].isoformat())}", [str(part) for part in parts] + told


def _observation(row: pd.Series, units: str) -> tuple[str, list[str]]:
    place = "the whole course" if row["zone"] == "all" and not row["area"] else str(row["zone"])
    return place, [f"{_day(row['day'].isoformat())} {observation_words(row, units)}"]


def _batch(row: pd.Series) -> str:
    void = ", thrown away" if row["void"] else ""
    return f"{row['room'] or 'room not noted'}, warm from {_day(row['warm_from'].date().isoformat())}{void}"


def _night_columns(night: Night) -> dict[str, str]:
    """The date, and a hash of all the night said: two nights with one hash said the same."""
    text = json.dumps(night, sort_keys=True, ensure_ascii=False)
    return {"on": str(night["on"]), "said": hashlib.sha256(text.encode()).hexdigest()[:16]}


def _night(night: Night) -> list[str]:
    calls = [f"{call['kind']} {call['zone']}" for call in night["calls"]]
    silent = len(night["cannot_say"])
    return [", ".join(calls) or "no call"] + ([f"cannot say for {silent}"] if silent else [])
