"""The weekly digest: the sign of life, what stands, and what came of the calls."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from typing import Any, Final

import numpy as np

from winterrisk.course import WEEKDAYS, Course
from winterrisk.reports.units import measure_words
from winterrisk.reports.words import (
    BAND_WORDS,
    HEADLINE_LENGTH,
    chance_in_words,
    day_in_words,
    fitted,
    joined,
    seven_bit,
    shortened,
)

MONTHS: Final = (10, 11, 12, 1, 2, 3, 4, 5)
"""Months with a digest (judged: from the first frost to the last survey)."""
WEEK, LATE = dt.timedelta(days=6), dt.timedelta(days=8)
"""A digest comes on the crew's first day of the week, at least so long after the last; after an outage at once."""
OF_LAST_WINTER: Final = dt.timedelta(days=60)
"""Age of a digest from which the next begins anew, on its day of the week (judged: no outage lasts so long)."""
MOST_DAYS, USUAL_DAYS = 28, 7
"""Longest time a digest looks back for nights run; beyond it, the days it counts [d] (judged)."""
MOST_NAMED: Final = 3
WANTED: Final = 2
"""Looks wanted most that a digest names (judged: what fits one walk)."""
ICED: Final = 0.5
"""Chance of an ice sheet from which a zone counts as likely iced [1] (judged)."""
SIGN_OF_LIFE: Final = "No digest for 8 days means that this has stopped: have somebody look."

Night = Mapping[str, Any]


def is_due(on: dt.date, before: Sequence[str], course: Course) -> bool:
    """Whether the night of a date carries the weekly digest.

    Args:
        before: dates of digests so far, ISO.
    """
    past = [dt.date.fromisoformat(night) for night in before]
    if on.month not in MONTHS or any(night >= on for night in past):
        return False
    its_day = WEEKDAYS[on.weekday()] == min(course.crew.days, key=WEEKDAYS.index)
    since = on - max(past) if past else dt.timedelta.max
    if since > OF_LAST_WINTER:
        return its_day
    return since >= LATE or (its_day and since >= WEEK)


def worked_nights(worked: Collection[str], on: dt.date, before: Sequence[str]) -> tuple[int, int]:
    """Nights worked since the last digest, this one too, and nights there were; at most four weeks back.

    Args:
        worked: dates of the nights that are written, ISO. before: dates of digests so far, ISO.
    """
    last = max(
        (dt.date.fromisoformat(night) for night in before if night < on.isoformat()), default=dt.date.min
    )
    days = (on - last).days
    if days > MOST_DAYS:
        days = USUAL_DAYS
    wanted = {(on - dt.timedelta(days=n)).isoformat() for n in range(days)}
    return len(wanted & {*worked, on.isoformat()}), len(wanted)


def digest_words(
    night: Night,
    course: Course,
    scores: str,
    nights: tuple[int, int],
    actions: int,
    unreached: Collection[str],
) -> tuple[str, str]:
    """Headline and body of the week.

    Args:
        scores: sentence of the scoreboard. nights: worked, and there were. actions: action messages this winter.
        unreached: names of people whom a message of the week never reached.
    """
    return _headline(night, nights), _body(night, course, scores, actions, unreached)


def _headline(night: Night, nights: tuple[int, int]) -> str:
    on = day_in_words(dt.date.fromisoformat(night["on"]))
    week = f"Week to {on}, {night['course']}: {nights[0]} of {nights[1]} nights run."
    unsaid = f"CANNOT SAY for {_zones_of(night['cannot_say'])}. " if night["cannot_say"] else ""
    return shortened(seven_bit(f"{unsaid}{week} {_standing(night)}"), HEADLINE_LENGTH)


def _body(night: Night, course: Course, scores: str, actions: int, unreached: Collection[str]) -> str:
    zones, data = night["data"]["zones"], night["data"]
    pieces: list[tuple[int, str]] = []
    if night["cannot_say"]:
        pieces.append((0, f"No all-clear: {night['cannot_say'][0]['why']}. Go and look."))
    if unreached:
        pieces.append((0, f"Never reached: {joined(sorted(unreached))}."))
    if wanted := _looks_wanted(night):
        pieces.append((0, f"If you pass by, look at {joined(wanted)}: that would tell most."))
    pieces.append((0, scores))
    if actions:
        pieces.append((2, f"Action messages this winter: {actions}."))
    if zones:
        pieces += [(1, _highest(zones, data["until_day"])), (3, _ground(zones, course.place.units))]
    if night["verdicts_due"]:
        names = joined(sorted({row["zone"] for row in night["verdicts_due"]})[:MOST_NAMED])
        pieces.append((2, f"Verdict due: plugs of {names}."))
    pieces.append((0, _data(data)))
    for notice in [n for n in data["notices"] if n["kind"] == "weather"][:1]:
        pieces.append((4, f"{notice['text'][:1].upper()}{notice['text'][1:]}."))
    pieces.append(
        (
            0,
            SIGN_OF_LIFE
            if _goes_on(night["on"])
            else "The last digest of this winter; the next comes in October.",
        )
    )
    return fitted([(rank, seven_bit(text)) for rank, text in pieces])


def _looks_wanted(night: Night) -> list[str]:
    """Zones whose look would tell most, first those that are wanted, then calls that wait; called ones are none."""
    called = {call["zone"] for call in night["calls"]}
    waiting = [call for call in night["held_back"] if call["kind"] == "look"]
    zones = dict.fromkeys(call["zone"] for call in (*night["looks_wanted"], *waiting))
    return [zone for zone in zones if zone not in called][:WANTED]


def _goes_on(on: str) -> bool:
    return (dt.date.fromisoformat(on) + dt.timedelta(days=7)).month in MONTHS


def _standing(night: Night) -> str:
    parts = []
    for kind, verb in (("look", "look"), ("pull", "pull plugs"), ("act", "act")):
        calls = [call for call in night["calls"] if call["kind"] == kind]
        if calls:
            parts.append(f"{verb} {_zones_of(calls)}")
    if parts:
        return f"Called: {'; '.join(parts)}."
    return (
        f"Nothing is called, {len(night['held_back'])} calls wait."
        if night["held_back"]
        else "Nothing is called."
    )


def _zones_of(rows: Sequence[Mapping[str, Any]]) -> str:
    zones = [row["zone"] for row in rows]
    more = f" and {len(zones) - MOST_NAMED} more" if len(zones) > MOST_NAMED else ""
    return f"{', '.join(zones[:MOST_NAMED])}{more}"


def _highest(zones: Sequence[Mapping[str, Any]], until: str) -> str:
    worst = max(zones, key=lambda zone: zone["chance"])
    chance = chance_in_words(worst["chance"], worst["low"], worst["high"])
    day = day_in_words(dt.date.fromisoformat(until))
    return f"Highest: {worst['zone']}, {chance} that {BAND_WORDS['parts']} is dead by {day}."


def _ground(zones: Sequence[Mapping[str, Any]], units: str) -> str:
    iced = [zone for zone in zones if zone["ice_chance"] >= ICED]
    snow = float(np.median([zone["snow_m"] for zone in zones])) * 100.0
    lying = "no snow" if snow < 1.0 else f"snow about {measure_words(round(snow), 'cm', units)}"
    if not iced:
        return f"Likely no ice sheet; {lying}."
    most = max(iced, key=lambda zone: zone["days_under_ice"])
    thick = measure_words(round(most["ice_mm"]), "mm", units)
    many = f"{len(iced)} of {len(zones)} zones"
    return (
        f"Ice likely on {many}, longest {most['zone']} ({most['days_under_ice']:.0f} days, {thick}); {lying}."
    )


def _data(data: Mapping[str, Any]) -> str:
    day, clock = data["weather_until_local"].split("T")
    filled = f", {data['filled_hours']} h of the winter filled" if data["filled_hours"] else ""
    until = day_in_words(dt.date.fromisoformat(day))
    return f"Weather to {until} {clock}, {data['age_hours']:.0f} h old{filled}."
