"""How far one night's call takes back the last one's, and how restless a chance was over a winter."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np

from winterrisk.course import speaks_for

STRENGTH = {"pull": 2, "act": 2, "look": 1}
"""A call that asks for more; a step down from it, with no answer in between, contradicts it."""


def answered_since(tables: Mapping[str, Any], since: np.datetime64, zones: Collection[str]) -> set[str]:
    """Those of the zones where somebody looked, cut or surveyed since an instant (UTC): there a call may change.

    Args:
        tables: frames of the book with `zone`, `area` and the column of their time, by that column's name. A row for
            a whole area or the whole course holds for each of its zones. zones: labels.
    """
    found: set[str] = set()
    for column, frame in tables.items():
        if len(frame):
            late = frame[frame[column].to_numpy().astype("datetime64[s]") >= np.datetime64(since, "s")]
            found |= {zone for zone in zones if speaks_for(late, zone).any()}
    return found


def turned(
    before: Sequence[Mapping[str, Any]],
    now: Sequence[Mapping[str, Any]],
    held: Sequence[Mapping[str, Any]],
    answered: Collection[str],
) -> list[dict[str, str]]:
    """Calls of the last night that this one takes back or weakens though nobody answered: zone, was, now.

    A look that becomes plugs is a step on, a call held back for want of time still stands: neither counts.

    Args:
        before, now, held: calls of last night, of this one, and this one's held back: kind, zone.
        answered: zones with a look, plugs or a survey since last night.
    """
    calls: dict[str, str] = {}
    for call in (*held, *now):
        zone, kind = str(call["zone"]), str(call["kind"])
        if STRENGTH[kind] >= STRENGTH.get(calls.get(zone, ""), 0):
            calls[zone] = kind
    rows = []
    for call in before:
        zone, was = str(call["zone"]), str(call["kind"])
        kind = calls.get(zone, "")
        if zone not in answered and STRENGTH.get(kind, 0) < STRENGTH[was]:
            rows.append({"zone": zone, "was": was, "now": kind or "none"})
    return rows


def flip_flop_index(chances: Sequence[float]) -> float:
    """Mean change from night to night of a chance [1] beyond what its way from least to most needed.

    0 where the chance only rose or only fell; larger the more it went to and fro. Of fewer than three nights 0.

    Reference: Griffiths et al. (2019), Meteorological Applications 26, flip-flop index of a fixed event, from
    memory: (sum of |changes| - (largest - smallest)) / (n - 2).
    """
    f = np.asarray(chances, dtype=np.float64)
    if len(f) < 3:
        return 0.0
    return float((np.abs(np.diff(f)).sum() - (f.max() - f.min())) / (len(f) - 2))
