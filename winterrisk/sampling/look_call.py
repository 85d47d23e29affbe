"""The look of a zone: whether its answer is worth five minutes, and what it asks."""

import datetime as dt
from dataclasses import replace

from winterrisk.sampling.calls import Call
from winterrisk.sampling.pull_call import ASK_FIRST, OF_FROST
from winterrisk.sampling.tonight import Night, ZoneTonight
from winterrisk.sampling.worth import LOOK_MINUTES, snow_look_worth
from winterrisk.science.day_words import day_month

LOOK_EVERY = 7
"""Days between looks (judged)."""
LEAST_LOOK_CHANCE = 0.10
"""Chance that more than a quarter is dead in the end below which nobody is sent to look (judged)."""
LOOK_BETWEEN = (0.1, 0.9)
"""Chance of 'yes' outside which a look would only confirm (judged)."""


def look(night: Night, zone: str, known: ZoneTonight, waiting: Call | None) -> Call | None:
    """The look of a zone, where its answer is worth having; plugs worth their cost that wait for a look make it so."""
    low, high = LOOK_BETWEEN
    call = look_call(night, zone, known)
    if waiting is not None and waiting.held_because == ASK_FIRST:
        return _after_frost(night, zone, known, call)
    if night.open or (known.looked is not None and known.looked < LOOK_EVERY):
        return None
    if waiting is not None:
        reason = f"worth plugs ({known.chance:.0%} that more than a quarter is dead), but nobody looked for 14 days"
        return replace(call, reason=reason, worth=max(call.worth, waiting.worth))
    telling = low <= known.question.yes <= high and call.chance >= LEAST_LOOK_CHANCE
    return call if telling and known.look > 0.0 else None


def look_call(night: Night, zone: str, known: ZoneTonight) -> Call:
    """A look with the question that would tell most, wanted or not."""
    question = known.question
    since = known.looked
    last = "nobody has looked this winter" if since is None or since > 200 else f"last look {since} d ago"
    what = "ice on the turf" if question.about == "ice" else "water in the crowns and on the turf"
    reason = (
        f"is there {what}? {question.yes:.0%} likely, {last}; if yes {question.chance_if_yes:.0%}, "
        f"if no {question.chance_if_no:.0%} that more than a quarter is dead later"
    )
    chance, least, most = night.ranges(zone, night.until)
    better = "no" if question.chance_if_no <= question.chance_if_yes else "yes"
    change = f"a note that says {better} takes the chance to {min(question.chance_if_no, question.chance_if_yes):.0%}"
    until = night.until.astype(dt.date)
    return Call(
        "look", zone, known.view.area, night.by, 1, (), reason, chance, least, most, "parts", until,
        change=change, worth=round(known.look, 2), minutes=LOOK_MINUTES,
    )  # fmt: skip


def _after_frost(night: Night, zone: str, known: ZoneTonight, call: Call) -> Call:
    """A look that asks whether snow lay on it in the frost that did the harm: weather alone cannot tell."""
    worst = night.frost_night(zone)
    if worst is None:
        which, before = "frost", "before it"
    else:
        which, before = (
            f"frost in the night to {day_month(worst)}",
            f"on {day_month(worst - dt.timedelta(days=1))}",
        )
    gain = snow_look_worth(known.chance, night.part_of(zone, OF_FROST), known.stakes)
    return replace(
        call,
        reason=f"{which}: {known.chance:.0%} that more than a quarter is dead if it lay bare, and nobody has told "
        f"since; did snow lie on it {before}? Note how much, or bare",
        change=f"a note of snow that lay on it {before} may take the chance far down",
        worth=round(max(gain - night.cost_of_a_look, call.worth), 2),
    )
