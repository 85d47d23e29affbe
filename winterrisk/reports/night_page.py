"""The page behind an alert: one file, no script, no request to anywhere."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import jinja2

from winterrisk.reports.alert import SAFETY, covers_in_danger, headline
from winterrisk.reports.compiled_templates import COMPILED
from winterrisk.reports.night_beside import Beside
from winterrisk.reports.read_said import said_now
from winterrisk.reports.strip_series import DAYS_AHEAD, DAYS_BEHIND, strip_rows
from winterrisk.reports.strip_shapes import strip_shapes
from winterrisk.reports.strip_words import strip_words
from winterrisk.reports.units import measure_words, percent, share_range
from winterrisk.reports.words import CAUSE_WORDS, cause_in_words, chance_in_words, day_in_words, ratio
from winterrisk.thresholds import LABELS

KINDS = {"look": "Look", "pull": "Pull plugs", "act": "Act"}
PRESSING = {"act": 0, "pull": 0, "look": 1}
"""Order of the zones: work first, then looks, then all others by their chance."""
TABLE_BEHIND = 7
"""Days behind tonight in the table beside a zone's strips (judged)."""


def day(text: str) -> str:
    """An ISO date as it is spoken."""
    return day_in_words(dt.date.fromisoformat(text))


def main_cause(causes: Mapping[str, float]) -> str:
    """The cause with the greatest share of the harm, in words."""
    name = max(causes, key=lambda c: causes[c])
    return CAUSE_WORDS.get(name, name)


def event_in_words(event: Mapping[str, Any]) -> str:
    """What is coming, as sure as it may be said: a day, a chance, or only to watch for it."""
    name = f"{event['kind'][:1].upper()}{event['kind'][1:]}".replace("_", " ")
    chance = ratio(event["chance"])
    if event["how"] == "watch":
        return f"{name}: watch for it, {chance} within the days looked at"
    span = (
        day(event["first"])
        if event["first"] == event["last"]
        else f"{day(event['first'])} to {day(event['last'])}"
    )
    if event["how"] == "concrete":
        return f"{name}: {span}, {chance}"
    return f"{name}: {chance}, most likely {span}"


def environment() -> jinja2.Environment:
    """The templates, with everything escaped."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("winterrisk.reports"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
        keep_trailing_newline=True,
        bytecode_cache=COMPILED,
    )
    made.filters |= {"cause": cause_in_words, "main_cause": main_cause, "percent": percent}
    made.globals |= {
        "day": day,
        "kinds": KINDS,
        "ahead": event_in_words,
        "share_range": share_range,
        "chance": lambda call: chance_in_words(call["chance"], call["low"], call["high"]),
    }
    return made


def by_what_matters(night: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The zones of a night: those called first, work before looks, then by their chance."""
    called: dict[str, int] = {}
    for call in night["calls"]:
        rank = PRESSING.get(call["kind"], 1)
        called[call["zone"]] = min(rank, called.get(call["zone"], rank))
    return sorted(night["data"]["zones"], key=lambda z: (called.get(z["zone"], 2), -z["chance"], z["zone"]))


def night_page(night: Mapping[str, Any], beside: Beside) -> str:
    """The night as one HTML page, everything that people wrote escaped.

    Args:
        night: the record of `night_record`. beside: days, past nights, what was seen, and the work list.
    """
    made = environment()
    units = beside.units
    made.globals["measure"] = lambda value, unit: measure_words(value, unit, units)
    zones = by_what_matters(night)
    return made.get_template("night.html").render(
        title=f"{night['course']}, {night['on']}",
        invented=beside.invented,
        headline=headline(night),
        night=night,
        zones=zones,
        cards=[_card(zone, night, beside, number) for number, zone in enumerate(zones, start=1)],
        work=beside.work,
        units=units,
        safety=SAFETY,
        dangers=covers_in_danger(night),
        behind=DAYS_BEHIND,
        days_ahead=DAYS_AHEAD,
    )


def _card(zone: Mapping[str, Any], night: Mapping[str, Any], beside: Beside, number: int) -> dict[str, Any]:
    """All that the page says of one zone."""
    label, units = zone["zone"], beside.units
    strip = beside.strips.get(label)
    said: Sequence[Mapping[str, Any]] = [*beside.said.get(label, []), said_now(night["on"], zone)["said"]]
    return {
        "number": number,
        "zone": zone,
        "calls": [c for c in night["calls"] if c["zone"] == label],
        "held": [c for c in night["held_back"] if c["zone"] == label],
        "unsaid": [row["why"] for row in night["cannot_say"] if row["zone"] == label],
        "seen": beside.seen.get(label, []),
        "shapes": strip and strip_shapes(strip, said, units),
        "words": strip and strip_words(strip, zone, night["data"]["until_day"], units),
        "rows": strip_rows(strip, TABLE_BEHIND) if strip else [],
        "species": strip and LABELS.get(strip.species, strip.species),
    }
