"""Today's work list of a crew, from the night's record: calls, plugs to read, water to let off."""

import datetime as dt
from collections.abc import Collection, Mapping
from typing import Any

from winterrisk.reports.words import cause_in_words, joined
from winterrisk.sampling import Task, work_list
from winterrisk.science.day_words import day_month

READ_MINUTES = 5
DRAIN_MINUTES = 40
"""Minutes to read the plugs of a zone, and to open a drain side (judged; job notes: 20 to 45 for a whole green)."""
AIR_MINUTES = 30
"""Minutes to open a cover at its edges and let air in (judged)."""
AIR_GAIN = 1_000.0
"""What air under a cover is worth where it is due [currency] (judged: a zone at stake)."""
DRAIN_GAIN, READ_GAIN = 200.0, 200.0
"""What an open drain side is worth before water that is likely, and plugs that are read in time, a round paid for
[currency] (judged)."""
AIR = ("cover_danger", "cover")
"""Notices on a cover of one zone that ask for air."""
SNOW: float = 0.02
"""Snow lying from which there is a drain side to open [m] (judged)."""
SAFETY = "In pairs, in the warm part of the day; cleats, eye protection at the ice; no machines across an icy slope."


def tasks_of_night(night: Mapping[str, Any], ponding: Collection[str] = ()) -> list[Task]:
    """The things one could do today by the night's record.

    Args:
        ponding: zones where water stands, by the course file.
    """
    on = dt.date.fromisoformat(night["on"])
    found = [
        Task(
            "look" if c["kind"] == "look" else f"pull {c['number']} plugs and a control",
            c["zone"], c["minutes"], c["worth"], dt.date.fromisoformat(c["by"]),
            cause_in_words(c["reason"]),
        )
        for c in night["calls"]
    ]  # fmt: skip
    for zone in sorted({row["zone"] for row in night["verdicts_due"]}):
        due = min(dt.date.fromisoformat(r["due"]) for r in night["verdicts_due"] if r["zone"] == zone)
        found.append(Task("read the plugs of", zone, READ_MINUTES, READ_GAIN, due, "their verdict is due"))
    air = {n["zone"] for n in night["data"].get("notices", ()) if n["zone"] and n["kind"] in AIR}
    why = "air is due, or it lies on ground that was not frozen"
    found += [
        Task("let air in under the cover of", zone, AIR_MINUTES, AIR_GAIN, on, why) for zone in sorted(air)
    ]
    for event in night["data"]["events"]:
        if event["kind"] == "rain on snow" and event["how"] in ("concrete", "chance"):
            day = dt.date.fromisoformat(event["day"])
            for zone in night["data"]["zones"]:
                if zone["snow_m"] >= SNOW and zone["zone"] in ponding:
                    gain = DRAIN_GAIN * event["chance"]
                    why = f"rain on snow {event['chance']:.0%} likely by {day_month(day)}"
                    found.append(Task("open the drain side of", zone["zone"], DRAIN_MINUTES, gain, day, why))
    return [t for t in found if t.deadline is None or t.deadline >= on or "read" in t.what]


def work_lines(night: Mapping[str, Any], hours: float, ponding: Collection[str] = ()) -> list[str]:
    """The list in words: what fits into so many person-hours, in order, and how much is left over."""
    done, rest = work_list(tasks_of_night(night, ponding), hours, dt.date.fromisoformat(night["on"]))
    lines = [f"Today, {hours:g} h of the crew:"]
    lines += [f"  {i}. {t.what} {t.where} ({t.minutes} min): {t.why}" for i, t in enumerate(done, 1)]
    unsaid = [row["zone"] for row in night["cannot_say"]]
    if unsaid:
        lines.append(f"  cannot say for {joined(unsaid)}: a look there is worth more than this list can tell")
    elif not done:
        lines.append("  nothing that is worth the time")
    if rest:
        lines.append(f"  not today, for want of time: {len(rest)} more, first {rest[0].what} {rest[0].where}")
    return [*lines, *([SAFETY] if done or unsaid else [])]
