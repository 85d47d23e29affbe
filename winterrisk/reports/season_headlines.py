"""The season in three sentences: how bad, what was known when, how the calls stood up."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from winterrisk.calibration.warning_score import SCORES
from winterrisk.reports.season_causes import cause_words
from winterrisk.reports.units import percent, share_range, size_words
from winterrisk.reports.words import day_in_words, joined

Row = Mapping[str, Any]

SMALL_CAUSE = 0.02
"""Causes below this share of the harm are left out of a sentence (judged)."""


def spoken(date: str) -> str:
    """An ISO date with its year: 'Mon 12 May 2025'."""
    day = dt.date.fromisoformat(date)
    return f"{day_in_words(day)} {day.year}"


def how_bad(season: Row) -> str:
    """How much of the greens was dead by the survey, or plainly that nobody has surveyed."""
    damage, what = season["damage"], season["damage_of"]
    if not damage["surveyed"]:
        return f"No survey yet: the book has none of {season['winter']}, so how bad it was nobody can say."
    dates = joined([spoken(d) for d in damage["dates"]])
    units = season["units"]
    text = (
        f"About {percent(damage['dead'])} of the {what} surveyed was dead on {dates} "
        f"({share_range(damage['low'], damage['high'])}): {size_words(damage['dead_m2'], units)} "
        f"of {size_words(damage['surveyed_m2'], units)}."
    )
    missing = len(damage["not_surveyed"])
    if missing:
        text += f" No survey yet for {missing} of {damage['zones']} zones: they are not in these figures."
    return text


def known_when(season: Row) -> str:
    """The first call and the first dead plug of the winter, in days before the survey."""
    if not season["data"]["nights"]:
        return "No night of this winter is in the course folder, so no call was made."
    parts = []
    for kind, words in (("look", "first call to look"), ("pull", "first call to pull plugs")):
        first = season["firsts"][kind]
        parts.append(f"{words}: {_first(first)}" if first else f"no {words.removeprefix('first ')}")
    dead = season["firsts"]["dead"]
    verdict = season["firsts"]["verdict"]
    if dead:
        parts.append(f"first plug dead or likely dead: {_first(dead)}")
    elif verdict:
        parts.append(f"first verdict on plugs: {_first(verdict)}; no plug was dead")
    else:
        parts.append("no plug was called alive or dead")
    text = "; ".join(parts) + "."
    return text[0].upper() + text[1:]


def _first(first: Row) -> str:
    days = first["days"]
    ahead = f", {days} days before its survey" if days is not None and days >= 0 else ""
    return f"{first['zone']} on {day_in_words(dt.date.fromisoformat(first['date']))}{ahead}"


def how_calls_stood(season: Row) -> str:
    """The scores of all zones in one sentence, those nobody has left out."""
    scores = season["scores"]
    if scores["no survey"] == sum(scores.values()):
        return "Calls against the survey: no survey yet, so no call can be scored."
    parts = [f"{scores[name]} {name}" for name in SCORES if scores[name]]
    return f"Calls against the survey, {sum(scores.values())} zones: {joined(parts)}."


def why(season: Row) -> str:
    """The causes the survey named, by dead area, and that a survey names a cause by judgement."""
    causes = [row for row in season["causes"] if row["dead_m2"] > 0]
    if not causes:
        return "Next to nothing was dead." if season["damage"]["surveyed"] else "No survey names a cause."
    total = sum(row["dead_m2"] for row in causes)
    words = joined([_cause(row["cause"], row["dead_m2"] / total) for row in causes])
    judged = "Who surveyed judged the cause; no plug proves it."
    return f"By the survey, the dead area is put down to {words}. {judged}"


def _cause(cause: str, share: float) -> str:
    return f"{cause_words(cause)} {percent(share)}"


def why_by_nights(season: Row) -> str:
    """The causes the last night before the survey expected, in one sentence; empty without nights."""
    told = season["night_causes"]
    if not told:
        return ""
    words = [_cause(r["cause"], r["share"]) for r in told["causes"] if r["share"] >= SMALL_CAUSE]
    return f"The night of {spoken(told['on'])} put the harm it expected down to {joined(words)}."


def three_lines(season: Row) -> tuple[str, str, str]:
    """The season in three sentences: how bad, what was known when, how the calls stood."""
    return how_bad(season), known_when(season), how_calls_stood(season)
