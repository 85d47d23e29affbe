"""Preview: what other thresholds would have changed in the calls of past nights, and what spring showed."""

from collections.abc import Iterable
from dataclasses import dataclass

import pandas as pd

from winterrisk.risk.spread import BAND_LIMITS

WARNINGS = ("pull", "act")
"""Kinds of call that warn of dead turf; a look only asks."""
WHERE = ("winter", "on", "zone", "kind")
_, _, PARTS, _ = BAND_LIMITS
OUTCOMES = ("hit", "miss", "false", "quiet")
"""Dead and warned; dead, not warned; warned, not dead; neither."""


@dataclass(frozen=True)
class Preview:
    """Calls under the current and the proposed thresholds, side by side.

    calls: winter, on, zone, kind, change (gained|lost|same), chance_now, chance_then. surveys: winter, zone,
    dead [1], now, then (an outcome each), first_now, first_then (first warning, NaT where none).
    scores: outcome by now, then.
    """

    calls: pd.DataFrame
    surveys: pd.DataFrame
    scores: pd.DataFrame

    def number(self, change: str) -> int:
        """How many calls were gained, lost or stayed the same."""
        return int((self.calls["change"] == change).sum())


def spoken(nights: pd.DataFrame) -> pd.DataFrame:
    """The rows of past nights that were calls: held-back ones and nights without a call left out."""
    held = nights["held_because"].fillna("").astype(str) != ""
    kind = nights["kind"].fillna("").astype(str)
    return nights.loc[~held & (kind != "")]


def first_warning(calls: pd.DataFrame, winter: str, zone: str, by: pd.Timestamp) -> pd.Timestamp | None:
    """Day of the first call that warned of dead turf in a zone by a date, or None."""
    chosen = calls[
        (calls["winter"] == winter)
        & (calls["zone"] == zone)
        & calls["kind"].isin(WARNINGS)
        & (pd.to_datetime(calls["on"]) <= by)
    ]
    return pd.Timestamp(min(chosen["on"].astype(str))) if len(chosen) else None


def outcome(dead: bool, warned: bool) -> str:
    """hit, miss, false or quiet."""
    if dead:
        return "hit" if warned else "miss"
    return "false" if warned else "quiet"


def preview(current: pd.DataFrame, proposed: pd.DataFrame, surveys: pd.DataFrame) -> Preview:
    """Calls gained, lost and kept, and hits and misses against the spring surveys.

    Args:
        current, proposed: past nights replayed under each (columns winter, on, zone, kind, chance,
            held_because).
        surveys: of the book (winter, date, zone, dead_low, dead_high); a zone counts as dead from a quarter.
    """
    now, then = spoken(current), spoken(proposed)
    columns = [*WHERE, "chance"]
    joined = now[columns].merge(
        then[columns], on=list(WHERE), how="outer", suffixes=("_now", "_then"), indicator=True
    )
    change = {"left_only": "lost", "right_only": "gained", "both": "same"}
    joined["change"] = joined["_merge"].astype(str).map(change)
    calls = joined[[*WHERE, "change", "chance_now", "chance_then"]].sort_values(
        list(WHERE), ignore_index=True
    )
    seen = pd.DataFrame(
        _survey_rows(now, then, surveys, _winters(current)),
        columns=["winter", "zone", "dead", "now", "then", "first_now", "first_then"],
    )
    scores = pd.DataFrame(
        {which: [int((seen[which] == o).sum()) for o in OUTCOMES] for which in ("now", "then")}
    )
    scores.index = pd.Index(OUTCOMES, name="outcome")
    return Preview(calls, seen, scores)


def _winters(nights: pd.DataFrame) -> frozenset[str]:
    return frozenset(nights["winter"].astype(str))


def _survey_rows(
    now: pd.DataFrame, then: pd.DataFrame, surveys: pd.DataFrame, winters: frozenset[str]
) -> Iterable[tuple[object, ...]]:
    for row in surveys.to_dict("records"):
        winter, zone = str(row["winter"]), str(row["zone"])
        if winter not in winters or str(row.get("species") or "all") != "all":
            continue
        dead = 0.5 * (float(row["dead_low"]) + float(row["dead_high"]))
        by = pd.Timestamp(row["date"])
        first_now, first_then = (first_warning(calls, winter, zone, by) for calls in (now, then))
        yield (
            winter,
            zone,
            dead,
            outcome(dead >= PARTS, first_now is not None),
            outcome(dead >= PARTS, first_then is not None),
            first_now,
            first_then,
        )
