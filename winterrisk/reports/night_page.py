"""The page behind an alert: one file, no script, no request to anywhere."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

import jinja2

from winterrisk.reports.alert import SAFETY, headline
from winterrisk.reports.words import CAUSE_WORDS, cause_in_words, chance_in_words, day_in_words, ratio

KINDS = {"look": "Look", "pull": "Pull plugs", "act": "Act"}


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
    )
    made.filters |= {"cause": cause_in_words, "main_cause": main_cause}
    made.globals |= {
        "day": day,
        "kinds": KINDS,
        "ahead": event_in_words,
        "chance": lambda call: chance_in_words(call["chance"], call["low"], call["high"]),
    }
    return made


def night_page(night: Mapping[str, Any], *, invented: bool) -> str:
    """The night as one HTML page.

    Args:
        night: the record of `night_record`.
        invented: whether the course is marked as invented.
    """
    zones = sorted(night["data"]["zones"], key=lambda z: -z["chance"])
    return (
        environment()
        .get_template("night.html")
        .render(
            title=f"{night['course']}, {night['on']}",
            course=night["course"],
            invented=invented,
            on_words=day(night["on"]),
            headline=headline(night),
            night=night,
            zones=zones,
            cautions=" ".join(SAFETY.values()),
        )
    )
