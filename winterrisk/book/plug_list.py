"""The list of plugs: what each says, when it falls due, and what the plugs of a zone prove."""

import datetime as dt

import numpy as np
import pandas as pd

from winterrisk.book.noting import Typed
from winterrisk.book.reading_back import local_text
from winterrisk.book.record import Record
from winterrisk.course import winter_of, winter_start
from winterrisk.plugs import ALIVE, DEAD, dead_share_interval, dead_share_upper, verdict
from winterrisk.thresholds import Thresholds


def proof_words(n: int, dead: int) -> str:
    """What n called plugs of which some are dead prove of a zone, in words."""
    called = f"{n} plug{'s' if n > 1 else ''} called"
    if dead == 0:
        most = dead_share_upper(n)
        return f"{called}, all alive: up to {most:.0%} of it can still be dead (95 %)"
    low, high = dead_share_interval(n, dead)
    return f"{called}, {dead} dead: between {low:.0%} and {high:.0%} of it is dead (95 %)"


def plug_list(record: Record, typed: Typed, *, everything: bool = False) -> list[str]:
    """Lines: one a plug and grass with its verdict as of now, then what the plugs of each zone and cut prove.

    everything: plugs of earlier winters too.
    """
    on = typed.utc(None, None) if typed.day else typed.now
    plugs = record.plugs[record.plugs["cut"] <= pd.Timestamp(on)]
    if not everything:
        today = dt.date.fromisoformat(local_text(on, typed.timezone)[:10])
        plugs = plugs[plugs["cut"] >= pd.Timestamp(winter_start(winter_of(today)))]
    if plugs.empty:
        return [f"no plugs this winter ({len(record.plugs)} in the book; --all lists them)"]
    prior = Thresholds.defaults().values["plug_prior_dead"]
    said = verdict(plugs, record.looks, batch=record.batches, priors=prior, on=on, timezone=typed.timezone)
    spots = dict(zip(plugs["id"], plugs["spot"], strict=True))
    lines = []
    for row in said.itertuples():
        what = f"{row.zone} {spots[row.plug]}".strip() + (" control" if row.control else "")
        cut = local_text(row.cut, typed.timezone)[:10]
        lines.append(f"{row.plug}  {what}, cut {cut}: {row.words} ({row.chance_dead:.0%} dead)")
    return [*lines, *_proofs(said, typed.timezone)]


def _proofs(said: pd.DataFrame, timezone: str) -> list[str]:
    called = said[said["state"].isin((ALIVE, DEAD)) & ~said["control"].astype(bool)]
    lines = []
    for (zone, species, day), rows in called.groupby(
        ["zone", "species", called["cut"].dt.floor("D")], sort=False
    ):
        dead = int(np.sum(rows["state"] == DEAD))
        grass = "" if species == "all" else f", {str(species).replace('_', ' ')}"
        cut = local_text(day + pd.Timedelta(hours=12), timezone)[:10]
        lines.append(f"{zone}{grass}, cut {cut}: {proof_words(len(rows), dead)}")
    return lines
