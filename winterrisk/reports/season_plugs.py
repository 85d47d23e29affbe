"""What the plugs of a zone proved, and on which day each answer was first known."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.plugs import ALIVE, DEAD, EARLY, VOID, dead_share_upper, verdict
from winterrisk.reports.season_days import local_date, of_winter
from winterrisk.reports.units import measure_words, percent
from winterrisk.reports.words import ratio
from winterrisk.thresholds import LABELS

Row = dict[str, Any]
CALLED = (ALIVE, DEAD)
LIKELY = "likely dead"
LIKELY_FROM = 0.5
"""Chance from which a plug that cannot be called yet is told as likely dead (judged: even odds)."""
STATES = (DEAD, LIKELY, ALIVE, EARLY, VOID)


def plug_rounds(
    plugs: pd.DataFrame,
    looks: pd.DataFrame,
    batches: pd.DataFrame,
    winter: str,
    timezone: str,
    values: Mapping[str, float],
) -> list[Row]:
    """Plugs of each zone and day: what was cut, the last verdict, when first called and when last changed.

    A verdict is read from the looks known on a day, with these thresholds and, for every plug alike, the
    chance of dead where nothing else is known: what the nights thought does not enter.

    Returns:
        zone, cut (date), number, controls, ice_mm, spots, counts (species -> state -> plugs), called (first
        day on which a plug was alive or dead), dead_known, settled (day of the last change), state, words.
    """
    cut = of_winter(plugs, "cut", winter, timezone)
    seen = looks[looks["plug"].isin(cut["id"])]
    known = pd.Series([local_date(time, timezone) for time in seen["known"]], index=seen.index, dtype=object)
    history = []
    for day in sorted(set(known)):
        there = seen[known <= day]
        on = np.datetime64(there[known[there.index] == day]["known"].max(), "s")
        frame = verdict(cut, there, batch=batches, priors=values["plug_prior_dead"], on=on, values=values)
        history.append((day.isoformat(), frame))
    rounds = [
        _round(zone, day.isoformat(), there, history)
        for (zone, day), there in cut.groupby(["zone", "day"], sort=False)
    ]
    return sorted(rounds, key=lambda row: (row["cut"], row["zone"]))


def _round(zone: str, day: str, plugs: pd.DataFrame, history: list[tuple[str, pd.DataFrame]]) -> Row:
    ids = set(plugs["id"])
    there = [(date, frame[frame["plug"].isin(ids)]) for date, frame in history]
    states = [(date, counts) for date, frame in there if (counts := _counts(frame))]
    last = states[-1][1] if states else {}
    called = [date for date, counts in states if any(c.get(s) for c in counts.values() for s in CALLED)]
    dead = [date for date, counts in states if _any_dead(counts)]
    return {
        "zone": zone,
        "cut": day,
        "number": len(plugs),
        "controls": int(plugs["control"].sum()),
        "ice_mm": [float(v) for v in plugs["ice_mm"].dropna()],
        "spots": [str(s) for s in plugs["spot"] if s],
        "counts": last,
        "called": called[0] if called else None,
        "dead_known": dead[0] if dead and _any_dead(last) else None,
        "settled": next((date for date, counts in states if counts == last), None),
        "state": _state(last),
        "words": verdict_of_round(last, len(plugs), _likely_chances(there[-1][1]) if there else {}),
    }


def _any_dead(counts: Mapping[str, Mapping[str, int]]) -> bool:
    return any(by_state.get("dead") or by_state.get(LIKELY) for by_state in counts.values())


def _likely(frame: pd.DataFrame) -> pd.Series:
    return (frame["state"] == EARLY) & (frame["looks"] > 0) & (frame["chance_dead"] >= LIKELY_FROM)


def _likely_chances(frame: pd.DataFrame) -> dict[str, float]:
    """Mean chance of dead [1] of the plugs that are likely dead, by species."""
    return {
        str(s): float(v) for s, v in frame[_likely(frame)].groupby("species")["chance_dead"].mean().items()
    }


def _counts(frame: pd.DataFrame) -> dict[str, dict[str, int]]:
    told = frame["state"].where(~_likely(frame), LIKELY)
    by: dict[str, Counter[str]] = {}
    for species, state, looks in zip(
        frame["species"].tolist(), told.tolist(), frame["looks"].tolist(), strict=True
    ):
        if looks > 0 or state == VOID:
            by.setdefault(str(species), Counter())[state] += 1
    return {species: {s: n for s in STATES if (n := by[species][s])} for species in sorted(by)}


def _state(counts: Mapping[str, Mapping[str, int]]) -> str:
    """The round in one word: dead or likely dead where any plug is, void, alive where all are, else open."""
    found = {state for by_state in counts.values() for state in by_state}
    for state in ("dead", LIKELY):
        if state in found:
            return state
    if found == {"void"}:
        return "void"
    return "alive" if found == {"alive"} else "open"


def verdict_of_round(
    counts: Mapping[str, Mapping[str, int]], number: int, likely: Mapping[str, float]
) -> str:
    """The verdicts of a round in words, with what live plugs leave open.

    Args:
        counts: species -> state -> plugs. likely [1]: mean chance of dead of those, by species.
    """
    if not counts:
        return "no look at these plugs is in the book"
    parts = []
    for species, by_state in counts.items():
        grass = "" if species == "all" else f"{LABELS.get(species, species)}: "
        each = "each" if by_state.get(LIKELY, 0) > 1 else ""
        each = f" ({f'{ratio(likely[species])} {each}'.rstrip()})" if species in likely else ""
        told = [f"{n} {state}{each if state == LIKELY else ''}" for state, n in by_state.items()]
        text = grass + ", ".join(told)
        alive = by_state.get("alive", 0)
        if alive and alive == sum(by_state.values()):
            allows = "allows" if alive == 1 else "allow"
            text += f" ({alive} live still {allows} up to {percent(dead_share_upper(alive))} dead)"
        parts.append(text)
    return f"of {number} plug{'s' if number > 1 else ''}: {'; '.join(parts)}"


def cut_words(row: Row, units: str) -> str:
    """The cutting of a round in words: number, spots, ice above."""
    number = row["number"]
    text = f"{number} plug{'s' if number > 1 else ''} cut"
    if row["controls"]:
        text += " as control" if row["controls"] == number else f", {row['controls']} of them controls"
    if row["ice_mm"]:
        most = max(row["ice_mm"])
        text += f", ice above {measure_words(most, 'mm', units)}" if most > 0 else ", no ice above"
    return text
