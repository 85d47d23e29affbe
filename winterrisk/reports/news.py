"""Which nights are news: what is kept of a message, and whether the next night says something else."""

from collections.abc import Mapping
from typing import Any

Night = Mapping[str, Any]
DANGER = "cover_danger"
"""Kind of the notice on a sealed cover over ground that was not frozen."""


def said_of(night: Night) -> dict[str, Any]:
    """What a message says, as it is kept for the nights after it.

    on; calls: kind, zone, the night that first asked, the day to do it by, dangers of covers among them; cannot_say:
    zones.
    """
    rows = [
        {"kind": c["kind"], "zone": c["zone"], "since": c["since"] or "", "by": c["by"]}
        for c in night["calls"]
    ]
    for notice in night["data"]["notices"]:
        if notice["kind"] == DANGER:
            rows.append({"kind": notice["kind"], "zone": notice["zone"], "since": "", "by": ""})
    calls = sorted(rows, key=lambda row: (row["kind"], row["zone"]))
    return {"on": night["on"], "calls": calls, "cannot_say": [r["zone"] for r in night["cannot_say"]]}


def news_of(said: Night, last: Night) -> frozenset[str]:
    """What a night has that the last message did not; empty where it has no news.

    call: one that it did not have (made again counts as another). danger: a cover that is one. back: a call taken
    back while its day is still ahead. missing: zones of which nothing can be said (every night). again: that
    something can be said of them again. A call that is over, or wobbles, is none.

    Args:
        said: of tonight; last: of the last message, empty where none was sent (`said_of`).
    """
    before = {_asked(row) for row in _rows(last)}
    new = {
        "danger" if row["kind"] == DANGER else "call" for row in said["calls"] if _asked(row) not in before
    }
    blind, was_blind = said["cannot_say"], last.get("cannot_say", [])
    if blind and (blind != was_blind or said["on"] != last["on"]):
        new.add("missing")
    if was_blind and not blind:
        new.add("again")
    return frozenset(new | ({"back"} if taken_back(said, last) else set()))


def taken_back(said: Night, last: Night) -> list[tuple[str, str]]:
    """Kind and zone of calls that the last message had for a day still ahead and that are no longer made."""
    still = {(row["kind"], row["zone"]) for row in said["calls"]}
    asked = [(row["kind"], row["zone"]) for row in _rows(last) if row["by"] >= said["on"]]
    return [call for call in asked if call not in still]


def _rows(last: Night) -> list[Mapping[str, str]]:
    return [row for row in last.get("calls", ()) if isinstance(row, dict)]


def _asked(row: Mapping[str, str]) -> tuple[str, str, str]:
    return row["kind"], row["zone"], row["since"]
