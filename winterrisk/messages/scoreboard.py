"""What came of the winter's calls: looks answered, plugs cut, and what the spring survey said."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.book import Record
from winterrisk.calibration.warning_score import score, score_counts
from winterrisk.messages.answers import looked_at
from winterrisk.messages.write_outbox import OF_CALLS, Kept

SAID = ("hit", "miss", "false", "close", "acted on")


def scoreboard(kept: Sequence[Kept], record: Record, night: Mapping[str, Any], now: np.datetime64) -> str:
    """One sentence: calls told this winter, how many were answered, and what the survey says of them.

    Args:
        kept: the outbox. night: tonight's record. now: UTC.
    """
    told = _told(kept, night["winter"])
    if not told:
        return "No call was sent this winter."
    parts = []
    for kind, what in (("look", "looks"), ("pull", "plug calls")):
        rows = [(zone, when) for (k, zone, _), when in told.items() if k == kind]
        if rows:
            done = sum(looked_at(record, zone, when, now) for zone, when in rows)
            parts.append(f"{what} answered {done} of {len(rows)}")
    warned = {zone for kind, zone, _ in told if kind in ("pull", "act")}
    found = score_counts(_scores(warned, record, night, now))
    parts += (
        [f"by the survey {', '.join(f'{found[n]} {n}' for n in SAID if found[n])}"]
        if any(found[n] for n in SAID)
        else []
    )
    return f"This winter: {'; '.join(parts)}." if parts else "No look or plug call was sent this winter."


def _told(kept: Sequence[Kept], winter: str) -> Mapping[tuple[str, str, str], np.datetime64]:
    """Kind, zone and night that first asked of the calls told in a winter -> when they were told."""
    first: dict[tuple[str, str, str], np.datetime64] = {}
    for row in kept:
        if row.kind in OF_CALLS and not row.lost and row.about.get("winter") == winter:
            for call in row.about["said"]["calls"]:
                first.setdefault((call["kind"], call["zone"], call["since"]), row.written)
    return first


def _scores(warned: set[str], record: Record, night: Mapping[str, Any], now: np.datetime64) -> Iterator[str]:
    rows = record.surveys
    rows = rows[(rows["winter"] == night["winter"]) & (pd.to_datetime(rows["known"]) <= pd.Timestamp(now))]
    treated = {zone["zone"] for zone in night["data"]["zones"] if zone["treated"]}
    for zone, there in rows.groupby("zone"):
        survey = {"low": there["dead_low"].max(), "high": there["dead_high"].max()}
        yield score(survey, warned=zone in warned, judged=True, treated=zone in treated)
