"""Messages about plugs whose verdict is due."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from winterrisk.reports.words import HEADLINE_LENGTH, day_in_words, joined, seven_bit, shortened

SOON = dt.timedelta(days=1)
"""How long before its day a verdict is told."""
BODY = (
    "Score annual bluegrass and bent apart: new green growth counts, old green does not. Brown at 14 days in a warm "
    "place is dead; cool or dark, give it longer. Note each plug (plug DIR look, or a line in the inbox). A dead "
    "control plug voids its batch. Gloves: plugs may carry fungicide; the label comes first, never in a kitchen."
)


def verdicts_now(night: Mapping[str, Any], told: Collection[tuple[str, str]]) -> list[dict[str, str]]:
    """Plugs (zone, plug, due) whose verdict is due by tomorrow and was not told yet, each once."""
    latest = dt.date.fromisoformat(night["on"]) + SOON
    first: dict[tuple[str, str], str] = {}
    for row in night["verdicts_due"]:
        key = (row["zone"], row["plug"])
        first[key] = min(row["due"], first.get(key, row["due"]))
    return [
        {"zone": zone, "plug": plug, "due": day}
        for (zone, plug), day in sorted(first.items())
        if (zone, plug) not in told and dt.date.fromisoformat(day) <= latest
    ]


def verdict_words(due: Sequence[Mapping[str, str]], on: dt.date) -> tuple[str, str]:
    """Headline and body of a message about verdicts due."""
    plugs: dict[str, list[str]] = {}
    for row in due:
        plugs.setdefault(row["zone"], []).append(row["plug"])
    first = max(min(dt.date.fromisoformat(row["due"]) for row in due), on)
    named = joined([f"{zone} ({', '.join(names)})" for zone, names in plugs.items()])
    return shortened(seven_bit(f"READ PLUGS by {day_in_words(first)}: {named}."), HEADLINE_LENGTH), BODY
