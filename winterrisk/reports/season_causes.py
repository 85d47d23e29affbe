"""Causes in words, and what the nights put the harm down to beside what the survey said."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from winterrisk.reports.night_record import rounded
from winterrisk.reports.words import CAUSE_WORDS

Row = dict[str, Any]
Night = Mapping[str, Any]


def cause_words(cause: str) -> str:
    """A cause of the survey or of a night, in words."""
    if cause == "unknown":
        return "cause not known"
    return CAUSE_WORDS.get(cause.removesuffix("_cover"), cause.replace("_", " "))


def causes_by_night(nights: Sequence[Night], sizes: Mapping[str, float], before: str | None) -> Row | None:
    """Causes of the harm the last night before a date expected: on, and share [1] by cause, greatest first.

    Each zone weighs as its expected dead area. None where no night was worked or none expected harm.

    Args:
        sizes [m2]: by zone label. before: ISO date of the survey; the last night of all where None.
    """
    earlier = [night for night in nights if before is None or night["on"] < before]
    if not earlier:
        return None
    shares = _by_cause(earlier[-1]["data"]["zones"], sizes)
    total = sum(shares.values())
    if total <= 0:
        return None
    ranked = sorted(shares.items(), key=lambda item: (-item[1], item[0]))
    return {
        "on": earlier[-1]["on"],
        "causes": [{"cause": c, "share": rounded(v / total)} for c, v in ranked if v > 0],
    }


def _by_cause(zones: Iterable[Mapping[str, Any]], sizes: Mapping[str, float]) -> dict[str, float]:
    shares: dict[str, float] = defaultdict(float)
    for zone in zones:
        dead = float(zone["dead_share"]) * sizes.get(zone["zone"], 0.0)
        for cause, share in zone["causes"].items():
            shares[cause] += dead * float(share)
    return shares
