"""Policies side by side over many winters: value, plugs, trips, and how early damage was known."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from winterrisk.science.keyed import generator
from winterrisk.simulation.outcome import GREEN_UP, Outcome

RESAMPLES = 4000


def mean_interval(values: Sequence[float], key: str = "") -> tuple[float, float, float]:
    """Mean with its 90 % interval, winters drawn anew with replacement."""
    v = np.asarray(values, dtype=np.float64)
    rng = generator("interval", key)
    means = v[rng.integers(len(v), size=(RESAMPLES, len(v)))].mean(axis=1)
    low, high = np.quantile(means, (0.05, 0.95))
    return float(v.mean()), float(low), float(high)


def days_earlier(ours: Sequence[Outcome], theirs: Sequence[Outcome], by: str = "known") -> list[float]:
    """Days by which harm was known earlier, one a truly hurt zone and winter [d].

    Args:
        by: "known", by all that each policy has, or "by_plugs", by plugs alone.
    """
    return [
        float((getattr(b, by)[zone] - day) / np.timedelta64(1, "D"))
        for a, b in zip(ours, theirs, strict=True)
        for zone, day in getattr(a, by).items()
    ]


def summary(outcomes: Mapping[str, Sequence[Outcome]], planner: str) -> list[dict[str, Any]]:
    """One row a policy: mean cost, plugs, trips, looks, orders; shares of hurt zones known before everybody sees it, by
    all that the policy has and by plugs alone, and of what it told that was wrong; the planner's gain on it with
    interval, without and with what the board's warnings are worth, its days earlier (median), and shares of hurt zones
    that it knew earlier, and later.

    Args:
        outcomes: policy -> one outcome a winter, the same winters in the same order.
    """
    ours, rows = outcomes[planner], []
    for name, theirs in outcomes.items():
        row: dict[str, Any] = {"policy": name, "winters": len(theirs)}
        for what in ("cost", "plugs", "trips", "looks", "orders", "board"):
            row[what] = float(np.mean([getattr(o, what) for o in theirs]))
        for what in ("known", "by_plugs"):
            days = [day for o in theirs for day in getattr(o, what).values()]
            row[what] = float(np.mean([day < GREEN_UP for day in days])) if days else float("nan")
        warned = sum(o.warned for o in theirs)
        row["wrong"] = sum(o.wrong for o in theirs) / warned if warned else float("nan")
        if name != planner:
            gain = [b.cost - a.cost for a, b in zip(ours, theirs, strict=True)]
            row["gain"], row["gain_low"], row["gain_high"] = mean_interval(gain, name)
            board = [g + b.board - a.board for g, a, b in zip(gain, ours, theirs, strict=True)]
            row["with_board"], row["with_board_low"], row["with_board_high"] = mean_interval(board, name)
            early, by_plugs = (np.array(days_earlier(ours, theirs, by)) for by in ("known", "by_plugs"))
            row["hurt"] = len(early)
            there = len(early) > 0
            row["days_earlier"] = float(np.median(early)) if there else float("nan")
            row["days_earlier_by_plugs"] = float(np.median(by_plugs)) if there else float("nan")
            row["earlier"] = float((early > 0).mean()) if there else float("nan")
            row["later"] = float((early < 0).mean()) if there else float("nan")
        rows.append(row)
    return rows
