"""Restraint: calls that stand, calls nobody answered, and the price a new message must be worth."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from winterrisk.sampling.calls import Asked, Call, Plan, Restraint
from winterrisk.science.day_words import day_month

STANDS = dt.timedelta(days=3)
"""Time after its day for which an unanswered call stands (judged: somebody may come to it yet)."""
RISEN = 1.5
"""Odds over those that were told, from which an unanswered call is made again (statistics notes)."""
FALLEN = 2.0
"""Fall of the odds that takes a standing call back (judged: wider than the rise, so that it does not flap)."""
MOST_MESSAGES = 14
"""Action messages of a winter beyond which only what saves a whole green goes out (job rule: 10 to 14)."""


def odds(chance: float) -> float:
    """Chance as odds, kept finite."""
    inside = min(max(chance, 1e-4), 1.0 - 1e-4)
    return inside / (1.0 - inside)


def restrained(
    wanted: Sequence[Call],
    held: Sequence[Call],
    before: Restraint,
    on: dt.date,
    price: float,
    most: tuple[int, int],
    trip: float = 0.0,
    last_call: dt.date | None = None,
    *,
    currency: str = "",
) -> Plan:
    """The calls that go out tonight, those held back, and what the next night has to know.

    A call that went out and was not answered stands until three days after its day, as it was (a pull does not turn
    into a look); then it is held back until its odds have risen by half, so no call repeats night after night, and
    asked once more when its time is nearly up. A new message is sent where all that is new in it is worth its price;
    what is not worth its own cost tonight goes with none. Calls that stand count towards those of one round.

    Args:
        wanted: calls worth their own cost; held: calls with another reason to wait.
        price: worth of a message kept for a later night [currency]; most: looks and pulls of one round.
        trip: cost of going out for plugs, once [currency].
        last_call: day from which plugs not answered are asked for once more, so that a verdict comes before the
            next order.
        currency: in which what is held back is told.
    """
    by_zone = {call.zone: call for call in held} | {call.zone: call for call in wanted}
    standing, stale, released = [], [], []
    for zone, asked in before.asked.items():
        call = by_zone.get(zone)
        if call is None or (odds(call.chance) * FALLEN < odds(asked.chance) and call.kind == asked.kind):
            released.append(zone)
        elif call.kind == "pull" and asked.kind == "look" and not call.held_because:
            continue
        elif on <= asked.by + STANDS and (call.kind == asked.kind or asked.kind == "pull"):
            as_was = call if call.kind == asked.kind else _as_asked(call, asked)
            standing.append(replace(as_was, by=max(call.by, asked.by), since=asked.since, held_because=""))
        elif last_call and asked.since < last_call <= on and asked.kind == call.kind == "pull":
            continue
        elif odds(_same_kind(zone, asked, [*wanted, *held], call).chance) < RISEN * odds(asked.chance):
            stale.append(zone)
    kept = {call.zone for call in standing}
    new = [call for call in wanted if call.zone not in kept and call.zone not in stale]
    new = sorted(new, key=lambda call: (-call.worth / max(call.minutes, 1), call.zone))
    looks = [call for call in new if call.kind == "look"]
    pulls = [call for call in new if call.kind == "pull"]
    room = {
        kind: max(number - sum(c.kind == kind for c in standing), 0)
        for kind, number in zip(("look", "pull"), most, strict=True)
    }
    waiting = [
        replace(call, held_because="more zones than one round; these come next")
        for call in (*looks[room["look"] :], *pulls[room["pull"] :])
    ]
    looks, pulls = looks[: room["look"]], pulls[: room["pull"]]
    out_anyway = any(call.kind == "pull" for call in standing)
    going = 0.0 if out_anyway else trip
    together = sum(call.worth for call in pulls)
    if pulls and together <= going:
        why = (
            f"worth {_told(together, currency)} together, going out for plugs costs {_told(going, currency)}"
        )
        waiting, pulls = [replace(call, held_because=why) for call in pulls] + waiting, []
    round_of = [*looks, *pulls]
    worth = sum(call.worth for call in round_of) - (going if pulls else 0.0)
    messages = before.messages
    if round_of and worth < price:
        why = (
            f"worth {_told(worth, currency)} together; tonight a message must be worth {_told(price, currency)}, "
            f"for {messages} were sent"
        )
        waiting, round_of = [replace(call, held_because=why) for call in round_of] + waiting, []
    sent = [replace(call, since=on) for call in round_of]
    messages += bool(sent)
    asked = {zone: a for zone, a in before.asked.items() if zone not in released}
    asked |= {call.zone: Asked(call.kind, on, call.by, call.chance) for call in sent}
    unanswered = [
        replace(
            by_zone[zone],
            since=asked[zone].since,
            held_because=f"asked on {day_month(asked[zone].since)} and not answered; asked again when the chance "
            f"has risen from {asked[zone].chance:.0%} to {_risen(asked[zone].chance):.0%}",
        )
        for zone in stale
    ]
    told = kept | {call.zone for call in (*sent, *waiting, *unanswered)}
    others = [
        call
        for call in held
        if call.zone not in told or (call.kind == "pull" and call.zone not in kept | set(stale))
    ]
    return Plan(
        calls=tuple(_ordered([*standing, *sent])),
        held_back=(*unanswered, *waiting, *others),
        looks_wanted=(),
        restraint=Restraint(messages, asked),
        price=round(price, 2),
    )


def _same_kind(zone: str, asked: Asked, calls: Sequence[Call], other: Call) -> Call:
    """Tonight's call of the zone of the kind that was asked for: chances of one date go with one kind."""
    return next((c for c in calls if c.zone == zone and c.kind == asked.kind), other)


def _as_asked(call: Call, asked: Asked) -> Call:
    """A pull that went out still stands where tonight alone would ask for a look first."""
    return replace(call, kind=asked.kind, number=max(call.number, 3), chance=asked.chance)


def _told(money: float, currency: str) -> str:
    return f"{currency} {money:,.0f}".lstrip()


def _risen(chance: float) -> float:
    up = RISEN * odds(chance)
    return up / (1.0 + up)


def _ordered(calls: Sequence[Call]) -> list[Call]:
    return sorted(
        calls, key=lambda call: (call.kind != "look", -call.worth / max(call.minutes, 1), call.zone)
    )
