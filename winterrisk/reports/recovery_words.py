"""A recovery plan in words: days as ranges, amounts and money as the reader writes them."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, Final

from winterrisk.reports.units import share_range, size_words
from winterrisk.reports.why_words import kept_by_change, kept_words
from winterrisk.reports.words import area_name, day_in_words, joined
from winterrisk.thresholds import LABELS

Row = Mapping[str, Any]
OLD_SURVEY: Final = 14
"""Days after which a survey is told to be old [d] (judged: seed shows within them)."""
POUND: Final = 453.6
"""Grams in a pound."""
SOURCES: Final = {
    "survey": "surveyed {day}",
    "plugs": "by the outlook with plugs cut up to {day}",
    "outlook": "by the outlook for {day}; no plug or survey speaks for it yet",
}
BEST: Final = {
    "order": "ordering now is the cheapest on average",
    "plugs": "waiting for plugs is the cheapest on average",
    "never": "ordering nothing is the cheapest on average",
}

NOTHING: Final = "nothing to order: what survives closes it"


def day(text: str | None, last_day: str) -> str:
    """An ISO date as spoken without its weekday; 'after 27 Oct' where it lies beyond what is told."""
    if text is None:
        return f"after {short(last_day)}"
    return short(text)


def short(text: str) -> str:
    """'7 May' for an ISO date."""
    return day_in_words(dt.date.fromisoformat(text)).split(" ", 1)[1]


def days_between(days: Row, last_day: str) -> str:
    """A range of days: '13 to 29 Jun, middle 22 Jun'; one day only where all springs agree."""
    if days["p10"] is None:
        return f"after {short(last_day)} in most springs"
    if days["p10"] == days["p90"]:
        return f"about {short(days['p10'])}"
    first = short(days["p10"])
    if days["p90"] is not None and days["p10"][:7] == days["p90"][:7]:
        first = first.split(" ")[0]
    return f"{first} to {day(days['p90'], last_day)}, middle {day(days['p50'], last_day)}"


def amount_words(option: Row, units: str) -> str:
    """What to order, low to high: '1.2 to 2.0 kg creeping bent', '40 to 80 m² of sod'; empty for waiting."""
    low, _, high = option["amount"]
    if option["unit"] == "g":
        weight, unit = (POUND, "lb") if units == "us" else (1000.0, "kg")
        grass = LABELS.get(option["grass"], option["grass"])
        return f"{_from_to(f'{low / weight:.1f}', f'{high / weight:.1f}')} {unit} of {grass} seed"
    if option["unit"] == "m2":
        return f"{_from_to(size_words(low, units), size_words(high, units))} of sod"
    if option["unit"] == "plugs":
        return f"{_from_to(f'{low:,.0f}', f'{high:,.0f}')} cup-cutter plugs from the nursery"
    return ""


def _from_to(low: str, high: str) -> str:
    """'0.3 to 1.1'; 'up to 0.7' where the low end is written as nothing."""
    return f"{low} to {high}" if any(digit in low for digit in "123456789") else f"up to {high}"


def money_words(value: float, currency: str) -> str:
    """Money to the nearest ten: 'CAD 4,380'."""
    return f"{currency} {10 * round(value / 10):,d}"


def hours_words(hours: Sequence[float]) -> str:
    """Hours of work, low to high: '3 to 14 h', 'up to 1 h'."""
    low, high = round(hours[0]), max(round(hours[2]), 1)
    return f"{low} to {high} h" if 0 < low < high else f"about {high} h" if low else f"up to {high} h"


def damage_words(zone: Row) -> str:
    """How much of a zone is dead and who says so."""
    dead = zone["dead"]
    source = SOURCES[zone["source"]].format(day=short(zone["day"]))
    return f"{share_range(dead['low'], dead['high'])} dead ({source})"


def cost_words(zone: Row, currency: str) -> str:
    """Ordering against waiting for one zone, in expected money; that nothing is ordered where it is left to itself."""
    if zone["decided"] and zone["proposed"] == "wait":
        return NOTHING
    cost = zone["cost"]
    told = f"order now {money_words(cost['order'], currency)}, order nothing {money_words(cost['never'], currency)}"
    if zone["source"] != "survey":
        told += f", wait for plugs {money_words(cost['plugs'], currency)}"
    return f"{told}: {BEST[cost['best']]}"


def option_words(option: Row, record: Row) -> str:
    """One option in a line: what, how much, order by, days of work and of play, hours."""
    parts = [amount_words(option, record["units"])] if option["amount"][2] else []
    if option["order_by"]:
        by = option["order_by"]
        parts.append("order now" if by == record["on"] else f"order by {short(by)}")
    days, last = option["days"], record["last_day"]
    if option["means"] != "wait":
        word = "sow" if option["means"].startswith("seed") else "lay"
        parts.append(f"{word} {days_between(days['work'], last)}")
    if option["means"].startswith("seed"):
        parts.append(f"up {days_between(days['up'], last)}")
    if "cover_off" in days:
        parts.append(
            f"cover on {days_between(days['cover_on'], last)}, off {days_between(days['cover_off'], last)}"
        )
    parts.append(f"fit for play {days_between(days['play'], last)}")
    if option["hours"][2]:
        parts.append(hours_words(option["hours"]))
    return f"{option['means']}: {'; '.join(parts)}"


def is_open(record: Row) -> bool:
    """Whether the course is open: turf has greened up, and a walk tells what plugs told before."""
    return bool(record["on"] > record["opening"])


def area_words(area: Row, record: Row) -> str:
    """When a green may be played again, by the course's own rules."""
    rules, last = record["rules"], record["last_day"]
    opens = (
        "open" if record["on"] >= record["opening"] else f"open with the course on {short(record['opening'])}"
    )
    clears = "a survey clears" if is_open(record) else "plugs clear"
    name = area_name(area["kind"], area["area"])
    if not area["closed"]:
        return f"{name}: nothing to close by the rules; {opens}"
    unless = f" (unless {clears} {joined(area['unproved'])})" if area["unproved"] else ""
    left = area["hole_locations"] or "no"
    text = f"{name}: {joined(area['closed'])} closed{unless}, {left} hole locations left"
    if area["hole_locations"] >= rules["hole_locations"]:
        return f"{text}, {rules['hole_locations']} wanted: {opens}"
    text += f" of {rules['hole_locations']} wanted"
    if area["some_days"] == area["open"]:
        return f"{text}; may open {days_between(area['open'], last)}"
    few = f"some days, with {rules['few_locations']}, {days_between(area['some_days'], last)}"
    return f"{text}; {few}; every day {days_between(area['open'], last)}"


def survey_line(record: Row) -> str:
    """That a survey is old, what it cannot tell, and what to do; empty where it is fresh or there is none."""
    found = [zone["day"] for zone in record["zones"] if zone["source"] == "survey"]
    age = (dt.date.fromisoformat(record["on"]) - dt.date.fromisoformat(min(found))).days if found else 0
    if age <= OLD_SURVEY:
        return ""
    return (
        f"the survey is {age} days old: what was sown or laid since, and how far turf has closed, is not known here; "
        "survey again"
    )


def blind_line(record: Row) -> str:
    """That the last days cannot be judged, and what to do; empty where they can."""
    if not record["cannot_say"]:
        return ""
    return (
        f"CANNOT SAY what the last days did: {record['cannot_say']}. This is no all-clear: go and look, and get the "
        "station's data in; what follows rests on what was known before"
    )


def summary_lines(record: Row) -> tuple[str, ...]:
    """The plan in a few lines for the terminal: damage, what is proposed, order dates, reopening, hours."""
    blind = blind_line(record)
    return (*((blind,) if blind else ()), *_plan_lines(record))


def _plan_lines(record: Row) -> tuple[str, ...]:
    zones = record["zones"]
    if not zones:
        quiet = "No zone is hurt, or likely enough to be, that ordering pays. That is no all-clear: walk at green-up."
        return (quiet, *unsure_lines(record))
    old = survey_line(record)
    lines: list[str] = [old] if old else []
    for zone in (z for z in zones if z["decided"]):
        chosen = next(o for o in zone["options"] if o["means"] == zone["proposed"])
        lines += [f"{zone['zone']}: {damage_words(zone)}", f"  {option_words(chosen, record)}"]
    waiting = [z["zone"] for z in zones if not z["decided"]]
    if waiting:
        first = "plugs first, cheaper on average than ordering now"
        if is_open(record):
            first = "survey first, a walk tells by now"
        lines.append(f"{first}: {joined(waiting)}")
    lines += [f"reopening {area_words(area, record)}" for area in record["areas"]]
    if any(z["decided"] for z in zones):
        hours = hours_words(record["hours"])
        workdays = f"{record['workdays']} working day{'' if record['workdays'] == 1 else 's'}"
        lines.append(
            f"work proposed: {hours}, {workdays} of {record['people']} people; "
            f"days from {record['springs']} past springs"
        )
    return (*lines, *unsure_lines(record), *_why_lines(record))


def _why_lines(record: Row) -> list[str]:
    """What would have helped most over all hurt zones, one line each."""
    sizes = {zone["zone"]: zone["size_m2"] for zone in record["zones"]}
    kept = kept_by_change(record["why"], sizes)
    return [f"why there: {kept_words(row, record['units'])}" for row in kept]


def unsure_lines(record: Row) -> tuple[str, ...]:
    """The zones that may be hurt but are not likely enough to order for, in one line."""
    names = [zone["zone"] for zone in record["unsure"]]
    first = "walk and survey" if is_open(record) else "look, or cut plugs,"
    return (f"{first} before deciding on {joined(names)}",) if names else ()
