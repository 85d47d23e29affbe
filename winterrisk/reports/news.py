"""Which nights are news: what is kept of a message, and whether the next night says something else."""

from collections.abc import Mapping
from typing import Any

Night = Mapping[str, Any]


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
        if notice["kind"] == "cover_danger":
            rows.append({"kind": notice["kind"], "zone": notice["zone"], "since": "", "by": ""})
    calls = sorted(rows, key=lambda row: (row["kind"], row["zone"]))
    return {"on": night["on"], "calls": calls, "cannot_say": [r["zone"] for r in night["cannot_say"]]}


def is_news(said: Night, last: Night) -> bool:
    """Whether a night has what the last message did not.

    News is a call that it did not have (made again counts as another), a cover that is a danger, a call taken back
    while its day is still ahead, zones of which nothing can be said (every night), and that something can be said of
    them again. A call that is over, or wobbles, is none.

    Args:
        said: of tonight; last: of the last message, empty where none was sent (`said_of`).
    """
    before = [row for row in last.get("calls", ()) if isinstance(row, dict)]
    now = {_asked(row) for row in said["calls"]}
    still = {(row["kind"], row["zone"]) for row in said["calls"]}
    back = any(row["by"] >= said["on"] and (row["kind"], row["zone"]) not in still for row in before)
    blind = said["cannot_say"]
    unsaid = blind != last.get("cannot_say", []) or (blind and said["on"] != last["on"])
    return bool(now - {_asked(row) for row in before} or back or unsaid)


def _asked(row: Mapping[str, str]) -> tuple[str, str, str]:
    return row["kind"], row["zone"], row["since"]
