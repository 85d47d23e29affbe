"""What the plugs of a winter have said for each zone, and what is still growing."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from winterrisk.plugs.verdicts import DEAD, EARLY, verdict
from winterrisk.thresholds import Thresholds

SOON = dt.timedelta(days=2)
"""A verdict due within this time is told (judged)."""
LONG_AGO = dt.timedelta(days=7)
"""A verdict overdue by more than this is told no more: nobody will look (judged)."""


@dataclass(frozen=True)
class PlugsSaid:
    """Zone -> day up to which judged plugs speak; zone -> day the growing plugs fall due; verdicts due soon."""

    cut: Mapping[str, np.datetime64] = field(default_factory=dict)
    growing: Mapping[str, dt.date] = field(default_factory=dict)
    due: tuple[Mapping[str, Any], ...] = ()


def plugs_said(
    plugs: pd.DataFrame,
    looks: pd.DataFrame,
    batches: pd.DataFrame,
    on: np.datetime64,
    since: np.datetime64,
    values: Mapping[str, float] | None = None,
) -> PlugsSaid:
    """What the plugs cut from `since` on had said by `on` (UTC both).

    Args:
        plugs, looks, batches: tables of the book as known by `on`.
        values: threshold values by key, with the course's plug room in them (`values_in_room`).
    """
    chosen = plugs[(plugs["cut"] >= pd.Timestamp(since)) & (plugs["cut"] <= pd.Timestamp(on))]
    if chosen.empty:
        return PlugsSaid()
    known = Thresholds.defaults().values if values is None else values
    prior = known["plug_prior_dead"]
    seen = looks[looks["plug"].isin(chosen["id"])]
    table = verdict(chosen, seen, batch=batches, priors=prior, on=on, values=known)
    table = table[~table["control"].astype(bool)]
    cut: dict[str, np.datetime64] = {}
    growing: dict[str, dt.date] = {}
    due: list[dict[str, Any]] = []
    today = pd.Timestamp(on).date()
    for zone, rows in table.groupby("zone", sort=True):
        judged = rows[rows["state"].isin(("alive", DEAD))]
        if len(judged):
            cut[str(zone)] = np.datetime64(judged["cut"].max(), "D")
        latest = rows[rows["cut"].to_numpy().astype("datetime64[D]") == np.datetime64(rows["cut"].max(), "D")]
        early = latest[latest["state"] == EARLY]
        days = [pd.Timestamp(d).date() for d in early["due"].dropna()]
        if len(early) == len(latest) and days and max(days) + LONG_AGO >= today:
            growing[str(zone)] = max(days)
        for row in early.itertuples():
            if pd.isna(row.due):
                continue
            day = pd.Timestamp(row.due).date()
            if today - LONG_AGO <= day <= today + SOON:
                due.append(
                    {
                        "plug": str(row.plug),
                        "zone": str(zone),
                        "species": str(row.species),
                        "due": day.isoformat(),
                    }
                )
    return PlugsSaid(cut, growing, tuple(due))
