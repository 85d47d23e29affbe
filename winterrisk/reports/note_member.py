"""A draft for members: what was done, what it showed, what comes next, in 150 words at the most."""

from collections.abc import Mapping
from typing import Any, Final

from winterrisk.reports.note_facts import NoteFacts
from winterrisk.reports.note_gate import passed
from winterrisk.reports.note_words import about, between, counted, greens, survey_words

MOST_WORDS: Final = 150
MOST_AREAS: Final = 3
"""Areas whose days are told one by one; of more the earliest and the latest (judged)."""


def member_note(facts: NoteFacts, plan: Mapping[str, Any] | None) -> str:
    """The draft as Markdown; words of loss only where a plug or a survey shows it, days only as ranges.

    Args:
        plan: record of the recovery plan of the same day; None where there is no evidence to plan for.
    """
    lines = [*_done(facts), *_found(facts), *_next(facts, plan)]
    told = passed(lines, bool(facts.evidence), facts.names)
    head = [f"# {facts.course.place.name}: how the greens are coming through winter"]
    if facts.course.place.invented:
        head.append("Invented course and people.")
    while _words(head + told) > MOST_WORDS and len(told) > 1:
        told.pop(-2)
    return "\n\n".join([*head, *told]) + "\n"


def _words(lines: list[str]) -> int:
    return len(" ".join(lines).split())


def _done(facts: NoteFacts) -> list[str]:
    looked = f"We have been out to look on {counted(facts.looks, 'day')} this winter"
    if not facts.looks:
        looked = "We have not yet been able to look at the turf this winter"
    if not facts.plugs:
        return [f"{looked}."]
    return [f"{looked}, and cut {counted(facts.plugs, 'small plug')} of turf to grow indoors."]


def _found(facts: NoteFacts) -> list[str]:
    found = []
    if facts.damage is not None:
        found.append(f"{survey_words(facts)} after winter.")
    elif facts.failed:
        there = {facts.course.zone(row["zone"]).area for row in facts.failed}
        where = greens(facts, [area.name for area in facts.course.areas if area.name in there])
        found.append(
            f"Some plugs from {where} did not come back: part of the turf in those spots was lost to winter."
        )
    elif facts.thrived and not facts.growing:
        found.append("Every plug judged so far has greened up. Weather to come can still change that.")
    else:
        found.append("It is too early to say how the greens have come through.")
    if facts.growing:
        found.append(
            f"{counted(facts.growing, 'plug')} {'is' if facts.growing == 1 else 'are'} still being watched indoors; "
            "we report when they have shown what they can."
        )
    return found


def _next(facts: NoteFacts, plan: Mapping[str, Any] | None) -> list[str]:
    opening = facts.course.calendar.on("opening", facts.winter)
    told = []
    if plan is not None and facts.evidence:
        told.append(_work(facts, plan))
        told += _reopening(facts, plan)
    elif opening > facts.on:
        told.append(f"We plan to open {about(opening)}.")
    told.append("Please keep off greens that are frosted or soft. Thank you for your patience.")
    return told


def _work(facts: NoteFacts, plan: Mapping[str, Any]) -> str:
    """What is done about the thin spots: sown or sodded as the soil warms, or now that it is warm, or left to close."""
    there = [zone for zone in plan["zones"] if zone["zone"] in facts.evidence]
    ways = [next(o for o in zone["options"] if o["means"] == zone["proposed"]) for zone in there]
    begins = [way["days"]["work"]["p50"] or plan["last_day"] for way in ways if way["means"] != "wait"]
    if there and not begins:
        return "The thin spots close by themselves as it warms."
    warm = begins and max(begins) <= plan["on"]
    return f"We seed or sod the thin spots {'now that the soil is warm' if warm else 'as the soil warms'}."


def _reopening(facts: NoteFacts, plan: Mapping[str, Any]) -> list[str]:
    late = [
        area
        for area in plan["areas"]
        if area["area"] in facts.areas
        and area["closed"]
        and area["hole_locations"] < plan["rules"]["hole_locations"]
    ]
    if not late:
        return []
    last = plan["last_day"]
    late = sorted(late, key=lambda area: facts.areas.index(area["area"]))
    if len(late) <= MOST_AREAS:
        days = "; ".join(
            f"{greens(facts, [a['area']])} {between(a['open']['p10'], a['open']['p90'], last)}" for a in late
        )
    else:
        firsts = [a["open"]["p10"] or last for a in late]
        lasts = [a["open"]["p90"] or last for a in late]
        days = f"{greens(facts, [a['area'] for a in late])} {between(min(firsts), max(lasts), last)}"
    return [f"As past springs went, expect to play {days}; the weather decides."]
