"""The night in a few lines: a headline for the phone and a body that says why, how sure and what if not."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.reports.notices import IN_THE_MESSAGE
from winterrisk.reports.words import (
    BAND_WORDS,
    HEADLINE_LENGTH,
    cause_in_words,
    chance_in_words,
    day_in_words,
    fitted,
    joined,
    ratio,
    seven_bit,
    shortened,
)

SAFETY = {
    "look": "Cleats, eyes on hidden ponds and slopes, go in pairs in the warm part of the day.",
    "pull": "Eye protection at the ice, side handle on the drill, cleats, in pairs; gloves: plugs may carry "
    "fungicide, the label comes first, never in a kitchen.",
    "cover": "Covers are heavy and catch the wind: in pairs, cleats, keep your face off the air from beneath.",
}
"""The usual cautions (common practice, no source); labels, local codes and licensed practice come first."""

MOST_NOTICES = 2
"""Notices that a message carries at most; the page has all (judged)."""

Night = Mapping[str, Any]
Calls = Sequence[Mapping[str, Any]]


def headline(night: Night) -> str:
    """What to do, where and by when, in at most 160 characters of 7-bit text."""
    parts = []
    for kind, verb in (("look", "LOOK"), ("pull", "PULL PLUGS")):
        calls = [c for c in night["calls"] if c["kind"] == kind]
        if calls:
            places = joined([_place(c) for c in calls])
            parts.append(f"{verb} by {_day(calls[0]['by'])}: {places}.")
    if night["cannot_say"]:
        parts.insert(0, _cannot_say(night))
    if dangers := covers_in_danger(night):
        parts.insert(
            0, f"LET AIR IN UNDER THE SEALED COVER TODAY: {joined(dangers)}, laid on unfrozen ground."
        )
    if not parts:
        quiet = f"Nothing to do on {_day(night['on'])}: no look and no plug would change a decision."
        parts.append(_held(night) or quiet)
    return shortened(seven_bit(" ".join(parts)), HEADLINE_LENGTH)


def covers_in_danger(night: Night) -> list[str]:
    """Zones under a sealed cover that was laid on unfrozen ground."""
    return [n["zone"] for n in night["data"].get("notices", ()) if n["kind"] == "cover_danger"]


def body(night: Night) -> str:
    """Why, how likely, how old the data are, what if nothing is done, what changed, one caution; at most 600.

    What does not fit is left out whole, least needed first.
    """
    pulls, looks = _of(night, "pull"), _of(night, "look")
    main = next(iter([*pulls, *_of(night, "act"), *looks]), None)
    pieces: list[tuple[int, str]] = [
        (3, _why(call)) if n else (0, _why(call)) for n, call in enumerate(pulls[:2])
    ]
    pieces += [(2 if pulls else 0, _why(call)) for call in looks[:1]]
    if night["cannot_say"]:
        pieces.insert(0, (0, "This is no all-clear: go and look, and get the station's data in."))
    elif not pieces:
        waits = (
            [(0, "That calls wait is no all-clear; the page says why each does.")]
            if night["held_back"]
            else []
        )
        pieces += [*waits, (0, _quiet(night))]
    pieces += [(1, line) for line in _due(night)]
    pieces.append((0, _data(night)))
    if main:
        pieces.append((1, f"If you do nothing: {_otherwise(main)}"))
    pieces += [(0 if n["kind"] == "cover_danger" else 2, _sentence(n["text"])) for n in _told(night)]
    if night["changed_since"]:
        pieces.append((3, f"Since last night: {night['changed_since'][0]}."))
    if main and main["kind"] in SAFETY:
        pieces.append((0, SAFETY[main["kind"]]))
    elif covers_in_danger(night):
        pieces.append((0, SAFETY["cover"]))
    return fitted([(rank, seven_bit(text)) for rank, text in pieces])


def alert_text(night: Night) -> str:
    """Headline, empty line, body: the text of alert.txt and of the message."""
    return f"{headline(night)}\n\n{body(night)}\n"


def _of(night: Night, kind: str) -> Calls:
    return [c for c in night["calls"] if c["kind"] == kind]


def _day(text: str) -> str:
    return day_in_words(dt.date.fromisoformat(text))


def _due(night: Night) -> list[str]:
    zones: dict[str, str] = {}
    for row in night["verdicts_due"]:
        zones[row["zone"]] = min(row["due"], zones.get(row["zone"], row["due"]))
    if not zones:
        return []
    first = min(zones.values())
    return [
        f"Look at the plugs of {joined(sorted(zones)[:3])} by {_day(max(first, night['on']))}: verdict due."
    ]


def _place(call: Mapping[str, Any]) -> str:
    return call["zone"] if call["kind"] == "look" else f"{call['zone']} ({call['number']})"


def _why(call: Mapping[str, Any]) -> str:
    chance = chance_in_words(call["chance"], call["low"], call["high"])
    what = BAND_WORDS[call["band"]]
    when = "is dead already" if call["kind"] == "pull" else f"is dead by {_day(call['until'])}"
    if call["kind"] == "look":
        return f"{call['zone']}: {call['reason']}."
    return f"{call['zone']}: {cause_in_words(call['reason'])}; {chance} that {what} {when}."


def _told(night: Night) -> Sequence[Mapping[str, str]]:
    return [n for n in night["data"].get("notices", ()) if n["kind"] in IN_THE_MESSAGE][:MOST_NOTICES]


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _otherwise(call: Mapping[str, Any]) -> str:
    if call["kind"] == "pull":
        return "you learn of it at green-up, too late to order seed or sod."
    return "the model goes on guessing, and later calls rest on the guess."


def _held(night: Night) -> str:
    """That nothing new is called, how many calls wait and why the first does; empty where none waits."""
    kept = night["held_back"]
    if not kept:
        return ""
    verbs = {"look": "look at", "pull": "pull plugs of", "act": "act at"}
    first = f"{verbs[kept[0]['kind']]} {kept[0]['zone']}, {kept[0]['held_because']}"
    count = "1 waits" if len(kept) == 1 else f"{len(kept)} wait"
    return f"No new call on {_day(night['on'])}, {count}: {first}."


def _quiet(night: Night) -> str:
    zones = night["data"]["zones"]
    if not zones:
        return "No zone could be judged."
    worst = max(zones, key=lambda z: z["chance"])
    until = _day(night["data"]["until_day"])
    return (
        f"Highest: {worst['zone']}, {ratio(worst['chance'])} that {BAND_WORDS['parts']} is dead by {until}."
    )


def _data(night: Night) -> str:
    data = night["data"]
    age = data["age_hours"]
    day, clock = data["weather_until_local"].split("T")
    text = f"Weather to {_day(day)} {clock}, {age:.0f} h old."
    if data.get("forecast"):
        text += f" Forecast: {data['forecast']['source']}."
    if data["filled_hours"]:
        text += f" {data['filled_hours']} h of the winter were missing and filled: ranges are wider for it."
    return text


def _cannot_say(night: Night) -> str:
    rows = night["cannot_say"]
    zones = [r["zone"] for r in rows]
    named = f"{len(zones)} zones" if len(zones) > 4 else joined(zones)
    return f"CANNOT SAY for {named}: {rows[0]['why']}."
