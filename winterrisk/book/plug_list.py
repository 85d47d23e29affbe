"""The list of plugs: what each says, when it falls due, what the plugs of a zone prove, and until when."""

import datetime as dt
from collections.abc import Mapping

import numpy as np
import pandas as pd

from winterrisk.book.noting import Typed
from winterrisk.book.reading_back import local_text
from winterrisk.book.record import Record
from winterrisk.course import winter_of, winter_start
from winterrisk.plugs import ALIVE, DEAD, post_stratified_share, proof_words, verdict
from winterrisk.thresholds import LABELS, Thresholds

UNTIL_CUT = (
    "They speak of what happened before the cut; a later thaw, freeze or more ice opens the question again."
)
LEAST_ZONES = 2
"""Zones of a green with called plugs from which the dead share of the whole green is told."""


def plug_list(
    record: Record,
    typed: Typed,
    *,
    everything: bool = False,
    values: Mapping[str, float] | None = None,
    shares: Mapping[str, float] | None = None,
) -> list[str]:
    """Lines: one a plug and grass with its verdict as of now, then what the plugs of each zone and cut prove.

    Args:
        everything: plugs of earlier winters too. values: threshold values by key (`course_values`).
        shares: share of its green [1] each zone covers, by label; then the dead share of a green is told too.
    """
    on = typed.utc(None, None) if typed.day else typed.now
    plugs = record.plugs[record.plugs["cut"] <= pd.Timestamp(on)]
    if not everything:
        today = dt.date.fromisoformat(local_text(on, typed.timezone)[:10])
        plugs = plugs[plugs["cut"] >= pd.Timestamp(winter_start(winter_of(today)))]
    if plugs.empty:
        return [f"no plugs this winter ({len(record.plugs)} in the book; --all lists them)"]
    known = Thresholds.defaults().values if values is None else values
    looks = record.looks[record.looks["plug"].isin(plugs["id"])]
    said = verdict(
        plugs, looks, batch=record.batches, priors=known["plug_prior_dead"], on=on, values=known,
        timezone=typed.timezone,
    )  # fmt: skip
    spots = dict(zip(plugs["id"], plugs["spot"], strict=True))
    lines = []
    for row in said.itertuples():
        what = f"{row.zone} {spots[row.plug]}".strip() + (" control" if row.control else "")
        cut = local_text(row.cut, typed.timezone)[:10]
        lines.append(f"{row.plug}  {what}, cut {cut}: {row.words} ({row.chance_dead:.0%} dead)")
    called = said[said["state"].isin((ALIVE, DEAD)) & ~said["control"].astype(bool)]
    proofs = _proofs(called, spots, known, typed.timezone)
    greens = [] if shares is None else _greens(called, plugs, shares, known)
    return [*lines, *proofs, *greens, *([UNTIL_CUT] if proofs else [])]


def _proofs(
    called: pd.DataFrame, spots: Mapping[str, str], values: Mapping[str, float], timezone: str
) -> list[str]:
    lines = []
    for (zone, species, day), rows in called.groupby(
        ["zone", "species", called["cut"].dt.floor("D")], sort=False
    ):
        dead = int(np.sum(rows["state"] == DEAD))
        grass = "" if species == "all" else f", {LABELS[str(species)]}"
        cut = local_text(day + pd.Timedelta(hours=12), timezone)[:10]
        lines.append(
            f"{zone}{grass}, cut {cut}: {proof_words([spots[p] for p in rows['plug']], dead, values)}"
        )
    return lines


def _greens(
    called: pd.DataFrame, plugs: pd.DataFrame, shares: Mapping[str, float], values: Mapping[str, float]
) -> list[str]:
    """Dead share of each green with called plugs in several zones: aimed plugs weighed by area, not averaged."""
    mean, rho = values["plug_prior_dead"], values["plug_prior_correlation"]
    belief = (mean * (1.0 - rho) / rho, (1.0 - mean) * (1.0 - rho) / rho)
    area_of = dict(zip(plugs["zone"], plugs["area"], strict=True))
    latest = called.drop_duplicates("plug")
    lines = []
    for area in dict.fromkeys(area_of[zone] for zone in latest["zone"]):
        zones = [zone for zone in shares if zone.startswith(f"{area} ")]
        there = [latest[latest["zone"] == zone] for zone in zones]
        if sum(len(rows) > 0 for rows in there) < LEAST_ZONES:
            continue
        dead = [int(np.sum(rows["state"] == DEAD)) for rows in there]
        found = post_stratified_share(
            [belief] * len(zones), dead, [len(rows) for rows in there], [shares[zone] for zone in zones]
        )
        low, high = (np.clip(found[0] + s * found[1], 0.0, 1.0) for s in (-1.0, 1.0))
        lines.append(
            f"green {area} as a whole, its zones weighed by their area: about {found[0]:.0%} dead "
            f"({low:.0%} to {high:.0%})"
        )
    return lines
