"""Calls that nobody answered in time, for the second contact."""

import datetime as dt
from collections.abc import Sequence

import numpy as np

from winterrisk.book import Record
from winterrisk.messages.answers import answered
from winterrisk.messages.write_outbox import OF_CALLS, Kept
from winterrisk.reports.words import BODY_LENGTH, HEADLINE_LENGTH, day_in_words, fitted, seven_bit, shortened

ASK_WITHIN = np.timedelta64(4, "D")
"""Age from which a message is too old to ask anybody about it (judged: calls stand three days after their day)."""
HOW = (
    "Nobody answered: ring the course, or go and look. A line ack in the inbox, any note from there, or "
    "winterrisk decide DIR ack is an answer."
)


def unanswered(kept: Sequence[Kept], record: Record, now: np.datetime64, within: float) -> Kept | None:
    """The newest message that asked for a deed and that nobody answered in time; None where there is none.

    A message that did not arrive is not answered either. Only the newest night counts: it says all that stands.

    Args:
        now: UTC. within: hours there are for an answer.
    """
    asking = [row for row in kept if row.kind in OF_CALLS and row.kind != "withdrawn" and zones_of(row)]
    if not asking:
        return None
    newest = max(asking, key=lambda row: row.night)
    told_at = newest.sent if newest.sent is not None else newest.written
    age = now - told_at
    if age > ASK_WITHIN or age < np.timedelta64(round(within * 60), "m"):
        return None
    return None if answered(record, zones_of(newest), newest.written, now) else newest


def zones_of(row: Kept) -> list[str]:
    """Zones that a message asks to go to."""
    said = row.about["said"]
    return sorted({call["zone"] for call in said["calls"]} | set(said["cannot_say"]))


def unanswered_words(row: Kept) -> tuple[str, str]:
    """Headline and body to the second contact: what was asked, and how to answer."""
    day = day_in_words(dt.date.fromisoformat(row.night))
    headline = shortened(seven_bit(f"NO ANSWER since {day}. {row.headline}"), HEADLINE_LENGTH)
    return headline, fitted(
        [(0, HOW), (1, row.body)] if len(row.body) + len(HOW) < BODY_LENGTH else [(0, HOW), (0, row.body)]
    )
