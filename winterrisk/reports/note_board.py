"""A draft for owner or committee: what is known, what it may cost, what is proposed and by when."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from winterrisk.reports.note_facts import NoteFacts
from winterrisk.reports.note_gate import passed
from winterrisk.reports.note_words import about, between, counted, greens, survey_words
from winterrisk.reports.recovery_words import NOTHING, amount_words, hours_words, money_words, survey_line
from winterrisk.reports.units import distance_words
from winterrisk.reports.words import chance_in_words, joined

Row = Mapping[str, Any]
MOST_ROWS = 6
"""Zones in the table of decisions; more are counted (judged: what a committee reads)."""
BEST = {
    "order": "order now",
    "plugs": "wait for plugs, then decide",
    "never": "order nothing yet",
}

OPEN_BEST = "survey, then decide"
"""Once the course is open a walk tells what plugs told before."""


def board_note(facts: NoteFacts, plan: Row) -> str:
    """The draft as Markdown; words of loss only where a plug or a survey shows it, days only as ranges.

    Args:
        plan: record of the recovery plan of the same day.
    """
    head = [f"# {facts.course.place.name}: the greens and the decisions ahead"]
    if facts.course.place.invented:
        head.append("Invented course, people and weather.")
    blocks = [
        ("What is known", _known(facts)),
        ("What we ask you to decide", _decide(facts, plan)),
        ("When greens may be played", _when(facts, plan)),
        ("What is not known", _unknown(facts, plan)),
    ]
    parts = list(head)
    for title, lines in blocks:
        told = passed(lines, bool(facts.evidence), facts.names)
        if told:
            parts.append(f"## {title}")
            parts += _joined(told)
    return "\n\n".join(parts) + "\n"


def _joined(lines: list[str]) -> list[str]:
    """Lines as blocks: rows of a list or a table stand together."""
    blocks: list[str] = []
    for line in lines:
        mark = line[:1] if line[:1] in "-|" else ""
        if blocks and mark and blocks[-1].splitlines()[-1].startswith(mark):
            blocks[-1] += f"\n{line}"
        else:
            blocks.append(line)
    return blocks


def _known(facts: NoteFacts) -> list[str]:
    lines = [
        f"Looked at on {counted(facts.looks, 'day')} this winter; {counted(facts.plugs, 'plug')} cut and grown indoors."
    ]
    if facts.damage is not None:
        surveyed = f"({facts.damage['surveyed']} of {facts.damage['zones']} zones surveyed)"
        lines.append(f"{survey_words(facts)} {surveyed}.")
    rounds = Counter(row["zone"] for row in facts.failed)
    told: set[str] = set()
    for row in facts.failed:
        which = ", later plugs" if row["zone"] in told else ", earlier plugs"
        lines.append(f"- {row['zone']}{which if rounds[row['zone']] > 1 else ''}: {row['words']}")
        told.add(row["zone"])
    sound = [z for z in dict.fromkeys(row["zone"] for row in facts.thrived) if z not in facts.evidence]
    if sound:
        lines.append(
            f"All plugs of a round greened up: {joined(sound)}. A plug speaks only for what came before it was cut."
        )
    if facts.growing:
        lines.append(f"{counted(facts.growing, 'plug')} still indoors without a verdict.")
    if not facts.evidence:
        early = "" if facts.damage is not None else "; it is too early to say more"
        lines.append(f"No plug and no survey shows that turf failed{early}.")
    return lines


def _option(zone: Row) -> Row:
    """The option proposed for a zone."""
    found: Row = next(o for o in zone["options"] if o["means"] == zone["proposed"])
    return found


def _decide(facts: NoteFacts, plan: Row) -> list[str]:
    chosen = [zone for zone in plan["zones"] if not facts.evidence or zone["zone"] in facts.evidence]
    if not chosen:
        return ["Nothing has to be ordered on what is known."]
    lines = ["| zone | likely to need seed or sod | proposed | order | expected cost: order, or nothing |"]
    lines.append("|---|---|---|---|---|")
    is_open = facts.on > facts.course.calendar.on("opening", facts.winter)
    proof = "survey first" if is_open else "plugs first"
    for zone in chosen[:MOST_ROWS]:
        option = _option(zone)
        need = (
            "yes, surveyed"
            if zone["source"] == "survey"
            else chance_in_words(zone["chance"]["middle"], zone["chance"]["low"], zone["chance"]["high"])
        )
        amount = amount_words(option, plan["units"]) if facts.evidence else ""
        proposed = f"{option['means']}{f': {amount}' if amount else ''}"
        if not zone["decided"]:
            proposed = f"{proof}; {'waiting may do' if option['means'] == 'wait' else f'then {proposed}'}"
        order = _order_words(option["order_by"], zone["decided"], plan)
        cost = zone["cost"]
        money = f"{money_words(cost['order'], plan['currency'])} or {money_words(cost['never'], plan['currency'])}"
        told = f"{money}: {OPEN_BEST if is_open and cost['best'] == 'plugs' else BEST[cost['best']]}"
        if zone["decided"] and option["means"] == "wait":
            told = NOTHING
        lines.append(f"| {zone['zone']} | {need} | {proposed} | {order} | {told} |")
    if len(chosen) > MOST_ROWS:
        lines.append(f"And {len(chosen) - MOST_ROWS} more with less turf at stake.")
    if not facts.evidence:
        lines.append(f"None of this is shown by a plug or a survey yet: {proof}, then the order.")
        return lines
    hours = [sum(_option(zone)["hours"][i] for zone in chosen) for i in range(3)]
    people = counted(plan["people"], "person").replace("persons", "people")
    lines.append(f"Work of what is proposed here: {hours_words(hours)} for {people}.")
    return [*lines, *_unproved(facts, plan, proof)]


def _unproved(facts: NoteFacts, plan: Row, proof: str) -> list[str]:
    """Zones of the plan that no plug or survey shows hurt: where an order pays all the same, and how many more."""
    others = [zone for zone in plan["zones"] if zone["zone"] not in facts.evidence]
    ready = [zone for zone in others if zone["decided"] and zone["proposed"] != "wait"]
    told = [f"{zone['zone']} ({amount_words(_option(zone), plan['units'])})" for zone in ready]
    lines = []
    if told:
        lines.append(
            "Not shown by a plug or a survey, but likely enough that ordering now is cheaper on average: "
            f"{joined(told)}."
        )
    if len(others) > len(ready):
        count = counted(len(others) - len(ready), "more zone" if told else "zone")
        lines.append(f"{count} may need seed or sod: {proof}, then the order.")
    return lines


def _order_words(by: str | None, decided: bool, plan: Row) -> str:
    if by is None:
        return ""
    if by == plan["on"]:
        return "now" if decided else "then at once"
    return between(plan["on"], by, plan["last_day"])


def _when(facts: NoteFacts, plan: Row) -> list[str]:
    opening = facts.course.calendar.on("opening", facts.winter)
    lines = [f"The course is planned to open {about(opening)}."] if opening > facts.on else []
    wanted = plan["rules"]["hole_locations"]
    for area in plan["areas"] if facts.evidence else []:
        if area["area"] not in facts.areas:
            continue
        name = greens(facts, [area["area"]])
        if not area["closed"] or area["hole_locations"] >= wanted:
            opens = "open with the course" if opening > facts.on else "open"
            lines.append(f"- {name}: {opens}, {area['hole_locations']} hole locations left")
            continue
        few, whole = (
            between(area[n]["p10"], area[n]["p90"], plan["last_day"]) for n in ("some_days", "open")
        )
        days = whole if few == whole else f"on some days {few}; wholly {whole}"
        lines.append(f"- {name}: {days}")
    if lines:
        apart = distance_words(plan["rules"]["distance_m"], plan["units"])
        lines.append(
            f"Days are ranges over {counted(plan['springs'], 'past spring')} of the station; weather decides. "
            f"Rules: {wanted} hole locations, {apart} from closed turf, "
            f"{100 * plan['rules']['cover']:.0f} % cover."
        )
    return lines


def _unknown(facts: NoteFacts, plan: Row) -> list[str]:
    lines = []
    if plan["cannot_say"]:
        lines.append(f"What the last days of weather did cannot be judged: {plan['cannot_say']}.")
    if old := survey_line(plan):
        lines.append(f"{old[0].upper()}{old[1:]}.")
    if plan["unsure"]:
        count = counted(len(plan["unsure"]), "zone")
        lines.append(f"{count} cannot be judged without looks or plugs; we look there next.")
    if facts.damage is None:
        lines.append("No spring survey yet: how the greens really are is seen at green-up.")
    return lines
