"""Preview: what other thresholds would have changed in the calls of past nights, and what spring showed."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from winterrisk.calibration.past_nights import PastNights
from winterrisk.calibration.warning_score import SCORES, score, score_counts

WARNINGS = ("pull", "act")
"""Kinds of call that warn of dead turf; a look only asks."""
WHERE = ("winter", "on", "zone", "kind")
SIDES = ("now", "then")
ZONE_COLUMNS = (
    "winter", "zone", "dead_low", "dead_high", "now", "then", "first_now", "first_then", "lead_now", "lead_then",
    "highest_now", "highest_then",
)  # fmt: skip


@dataclass(frozen=True)
class Preview:
    """Calls under the current and the proposed thresholds, side by side.

    calls: winter, on, zone, kind, change (gained|lost|same), chance_now, chance_then. zones, one row a zone and winter:
    surveyed dead_low, dead_high [1] (NaN without a survey), now, then (a score each), first warning of each side (NaT
    where none), lead [days] of it before the survey, highest chance told. scores: zones by score, now and then.
    nights: what each side said, for pictures.
    """

    calls: pd.DataFrame
    zones: pd.DataFrame
    scores: pd.DataFrame
    nights: tuple[PastNights, PastNights]

    def number(self, change: str) -> int:
        """How many calls were gained, lost or stayed the same."""
        return int((self.calls["change"] == change).sum())

    @property
    def changed(self) -> pd.DataFrame:
        """Zones whose score or first warning differ."""
        z = self.zones
        first = z["first_now"].fillna(pd.Timestamp(0)) != z["first_then"].fillna(pd.Timestamp(0))
        return z[(z["now"] != z["then"]) | first]


def spoken(calls: pd.DataFrame) -> pd.DataFrame:
    """The rows that were calls: held-back ones left out."""
    return calls.loc[calls["held_because"].fillna("").astype(str) == ""]


def first_warning(calls: pd.DataFrame, winter: str, zone: str, by: pd.Timestamp | None) -> pd.Timestamp:
    """Day of the first call that warned of dead turf in a zone, by a date where one is given; NaT where none did."""
    own = calls[(calls["winter"] == winter) & (calls["zone"] == zone) & calls["kind"].isin(WARNINGS)]
    days = pd.to_datetime(own["on"])
    return days[days <= by].min() if by is not None else days.min()


def preview(current: PastNights, proposed: PastNights, surveys: pd.DataFrame) -> Preview:
    """Calls gained, lost and kept, and how each side's warnings fared against the spring surveys.

    Args:
        current, proposed: past nights worked under each.
        surveys: of the book (winter, date, zone, species, dead_low, dead_high); those of one grass are left out.
    """
    now, then = spoken(current.calls), spoken(proposed.calls)
    columns = [*WHERE, "chance"]
    joined = now[columns].merge(
        then[columns], on=list(WHERE), how="outer", suffixes=("_now", "_then"), indicator=True
    )
    change = {"left_only": "lost", "right_only": "gained", "both": "same"}
    joined["change"] = joined["_merge"].astype(str).map(change)
    calls = joined[[*WHERE, "change", "chance_now", "chance_then"]].sort_values(
        list(WHERE), ignore_index=True
    )
    sides = {"now": (current, now), "then": (proposed, then)}
    whole = surveys[surveys["species"].fillna("all").isin(("all", ""))]
    rows = [
        _zone(sides, whole, str(winter), str(zone))
        for winter, zone in current.zones[["winter", "zone"]].drop_duplicates().itertuples(index=False)
    ]
    zones = pd.DataFrame(rows, columns=list(ZONE_COLUMNS))
    scores = pd.DataFrame({side: score_counts(zones[side]) for side in SIDES}).reindex(list(SCORES))
    scores.index.name = "score"
    return Preview(calls, zones, scores, (current, proposed))


def _zone(
    sides: dict[str, tuple[PastNights, pd.DataFrame]], surveys: pd.DataFrame, winter: str, zone: str
) -> dict[str, Any]:
    found = surveys[(surveys["winter"] == winter) & (surveys["zone"] == zone)]
    last = None if found.empty else found.loc[found["date"].idxmax()]
    told: dict[str, Any] = {"winter": winter, "zone": zone}
    told |= {n: float("nan") if last is None else float(last[n]) for n in ("dead_low", "dead_high")}
    survey = None if last is None else {"low": last["dead_low"], "high": last["dead_high"]}
    by = None if last is None else pd.Timestamp(last["date"])
    for side, (nights, calls) in sides.items():
        own = nights.zones[(nights.zones["winter"] == winter) & (nights.zones["zone"] == zone)]
        first = first_warning(calls, winter, zone, by)
        told[side] = score(
            survey, warned=not pd.isna(first), judged=bool(own["judged"].any()), treated=bool(own["treated"].any())
        )  # fmt: skip
        told[f"first_{side}"] = first
        told[f"lead_{side}"] = (by - first).days if by is not None and not pd.isna(first) else float("nan")
        told[f"highest_{side}"] = float(own["chance"].max())
    return told
