"""What the nights said of each zone: calls, spells of 'cannot say', and the chance night by night."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from winterrisk.reports.season_causes import cause_words
from winterrisk.reports.words import BAND_WORDS, CAUSE_WORDS, chance_in_words, day_in_words

Row = dict[str, Any]
Night = Mapping[str, Any]

CAUSES = {*CAUSE_WORDS, "ice"}
VERBS = {"look": "LOOK", "pull": "PULL PLUGS", "act": "ACT"}
LONGEST_PAUSE = 3
"""Nights without a word after which the same call counts as a new one (judged)."""


def reason_in_words(reason: str) -> str:
    """A call's reason with the cause at its end put into words."""
    head, _, last = reason.rpartition("; ")
    words = cause_words(last) if last in CAUSES else last
    return f"{head}; {words}" if head else words


def call_words(call: Mapping[str, Any]) -> str:
    """A call in one line, with its chance as it was given."""
    by = day_in_words(dt.date.fromisoformat(call["by"]))
    verb = f"{VERBS[call['kind']]} ({call['number']})" if call["kind"] == "pull" else VERBS[call["kind"]]
    until = day_in_words(dt.date.fromisoformat(call["until"]))
    chance = chance_in_words(call["chance"], call["low"], call["high"])
    dead = "is dead already" if call["kind"] == "pull" else f"is dead by {until}"
    what = BAND_WORDS.get(call["band"], call["band"])
    return f"{verb} by {by}: {reason_in_words(call['reason'])}; {chance} that {what} {dead}"


def said_of_zone(nights: Sequence[Night], zone: str) -> list[Row]:
    """Calls and spells of 'cannot say' for a zone in order: kind, first and last night, nights, first words.

    The same call on nights close together is one row with the words of the first night.
    """
    rows: list[Row] = []
    for night in nights:
        said = [(call["kind"], call_words(call)) for call in night["calls"] if call["zone"] == zone]
        said += [("cannot say", f"CANNOT SAY: {r['why']}") for r in night["cannot_say"] if r["zone"] == zone]
        for kind, words in said:
            before = next((row for row in reversed(rows) if row["kind"] == kind), None)
            if before and _nights_between(before["last"], night["on"]) <= LONGEST_PAUSE:
                before["last"] = night["on"]
                before["nights"] += 1
            else:
                rows.append(
                    {"kind": kind, "first": night["on"], "last": night["on"], "nights": 1, "words": words}
                )
    return rows


def _nights_between(first: str, second: str) -> int:
    return (dt.date.fromisoformat(second) - dt.date.fromisoformat(first)).days


def chances_of_zone(nights: Iterable[Night], zone: str) -> list[Row]:
    """Chance [1] of more than a quarter dead as each night gave it: on, chance, low, high, until."""
    return [
        {
            "on": night["on"],
            **{k: there[k] for k in ("chance", "low", "high")},
            "until": night["data"]["until_day"],
        }
        for night in nights
        for there in night["data"]["zones"]
        if there["zone"] == zone
    ]


def chance_spells(chances: Sequence[Row]) -> list[Row]:
    """Nights in a row on which the chance read the same in words: first, last, words, nights."""
    rows: list[Row] = []
    for there in chances:
        words = chance_in_words(there["chance"], there["low"], there["high"])
        if rows and rows[-1]["words"] == words:
            rows[-1]["last"] = there["on"]
            rows[-1]["nights"] += 1
        else:
            rows.append({"first": there["on"], "last": there["on"], "nights": 1, "words": words})
    return rows


def first_call(said: Iterable[Row], kinds: Sequence[str], before: str | None) -> str | None:
    """The first night (ISO date) on which one of these calls was made, before a date where one is given."""
    nights = [
        row["first"] for row in said if row["kind"] in kinds and (before is None or row["first"] < before)
    ]
    return min(nights, default=None)
