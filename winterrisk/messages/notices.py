"""Messages about what is to be minded beside the calls: covers, spring, drying, hardening, notes not understood."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np

from winterrisk.messages.told import Told
from winterrisk.reports.words import HEADLINE_LENGTH, day_in_words, fitted, joined, seven_bit, shortened

Notice = Mapping[str, str]

STANDING: Final = {
    "cover": "COVERS",
    "spring_guard": "KEEP OFF",
    "drying": "DRYING",
    "hardening": "HARDENING",
}
"""Kinds that are told again after a while, as a headline names them."""
ONCE: Final = {"refused": "A NOTE WAS NOT UNDERSTOOD", "conflict": "TWO NOTES DISAGREE"}
"""Kinds that are told once each, whatever else is told."""
AGAIN: Final = np.timedelta64(7, "D")
"""Time for which a standing notice is not repeated (judged)."""
BY_PERSON: Final = "Labels, local codes and licensed practice come first."


def notices_now(night: Mapping[str, Any], told: Told, now: np.datetime64, shown: str) -> list[Notice]:
    """Notices of the night that need a message of their own, the most pressing first.

    Args:
        now: UTC. shown: words of a message on calls of this night; empty where there is none. A standing notice
            waits for a night without one.
    """
    found = []
    for notice in night["data"]["notices"]:
        kind = notice["kind"]
        if kind in ONCE:
            fresh = (
                key_of(notice) not in told.notices and seven_bit(notice["text"]).lower() not in shown.lower()
            )
        else:
            last = told.notices.get(key_of(notice))
            fresh = kind in STANDING and not shown and (last is None or now - last >= AGAIN)
        if fresh:
            found.append(notice)
    return found


def key_of(notice: Notice) -> tuple[str, str]:
    """What a notice is known by: its kind, and its zone or, where each is told once, its words."""
    return notice["kind"], notice["text"] if notice["kind"] in ONCE else notice["zone"]


def notice_words(notices: Sequence[Notice], on: dt.date) -> tuple[str, str]:
    """Headline and body of a message about notices."""
    names = list(dict.fromkeys((ONCE | STANDING)[notice["kind"]] for notice in notices))
    headline = f"{day_in_words(on)}, {joined(names)}: {notices[0]['text']}."
    pieces = [
        (n, f"{text[:1].upper()}{text[1:]}.") for n, text in enumerate(seven_bit(x["text"]) for x in notices)
    ]
    return shortened(seven_bit(headline), HEADLINE_LENGTH), fitted([*pieces, (0, BY_PERSON)])
