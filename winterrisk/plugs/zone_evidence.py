"""Plugs as evidence: the likelihood of their looks, for nightly weights and for calibration alike."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from winterrisk.plugs.batches import PlugLooks, batch_is_void, failure_chance, plug_looks
from winterrisk.plugs.beta_binomial import looks_of_zone_log_likelihood
from winterrisk.plugs.plug import Batch, Look, Plug, batches_from, looks_from, plugs_from
from winterrisk.thresholds import Thresholds

Array = NDArray[np.float64]
Priors = float | Mapping[str, float]


@dataclass(frozen=True)
class Evidence:
    """What the plugs of one zone, grass, cut and batch say of the zone's dead share when they were cut.

    log_alive, log_dead (n): log chance of each plug's looks if it lives, if it is dead. failure [1]: chance
    from the rest of the batch that nothing in it can green up. species: "all" where looks told none apart.
    """

    zone: str
    species: str
    cut: np.datetime64
    plugs: tuple[str, ...]
    log_alive: tuple[float, ...]
    log_dead: tuple[float, ...]
    batch: str = ""
    failure: float = 0.0

    def log_likelihood(self, p: ArrayLike, rho: ArrayLike) -> Array:
        """Log chance of the looks for each expected dead share p (...) [1]; see `log_likelihood`."""
        return log_likelihood(p, self, rho)


def log_likelihood(p: ArrayLike, evidence: Evidence, rho: ArrayLike) -> Array:
    """Log chance of all looks at the plugs of one zone, for each expected dead share p (...).

    Plugs are beta-binomial round p, each known only through its looks; either the batch worked or, with
    the chance left after its other plugs and controls, nothing in it could green up.

    Args:
        p (...) [1]: expected dead share of the zone (of the grass) when the plugs were cut.
        evidence: plugs of one zone, grass, cut and batch.
        rho [1]: plug correlation, broadcast against p.
    """
    worked = looks_of_zone_log_likelihood(p, evidence.log_alive, evidence.log_dead, rho)
    if evidence.failure <= 0:
        return worked
    failed = np.log(evidence.failure) + float(np.sum(evidence.log_dead))
    return np.asarray(np.logaddexp(np.log1p(-evidence.failure) + worked, failed))


def prior_of(plug: Plug, priors: Priors, values: Mapping[str, float]) -> float:
    """Prior chance of dead [1] of a plug: by its id, its zone, or one for all."""
    if not isinstance(priors, Mapping):
        return float(priors)
    return float(priors.get(plug.id, priors.get(plug.zone, values["plug_prior_dead"])))


def all_plug_looks(
    plugs: Iterable[Plug],
    looks: Iterable[Look],
    batches: Mapping[str, Batch],
    on: np.datetime64 | None,
    values: Mapping[str, float],
) -> list[PlugLooks]:
    """Every plug and grass with its looks up to `on` (UTC)."""
    by_plug: dict[str, list[Look]] = defaultdict(list)
    for look in looks:
        if on is None or look.time <= on:
            by_plug[look.plug].append(look)
    entries: list[PlugLooks] = []
    for plug in plugs:
        if on is None or plug.cut <= on:
            entries.extend(plug_looks(plug, by_plug[plug.id], batches.get(plug.batch), values))
    return entries


def by_batch(entries: Iterable[PlugLooks]) -> dict[str, list[PlugLooks]]:
    """Entries of each batch; a plug without a batch stands alone."""
    groups: dict[str, list[PlugLooks]] = defaultdict(list)
    for entry in entries:
        groups[entry.plug.batch or f"\x00{entry.plug.id}"].append(entry)
    return groups


def by_group(entries: Iterable[PlugLooks]) -> dict[tuple[str, str, np.datetime64], list[PlugLooks]]:
    """Entries of each (zone, grass, day of cut): these share their fate in part. Controls are left out."""
    groups: dict[tuple[str, str, np.datetime64], list[PlugLooks]] = defaultdict(list)
    for entry in entries:
        if not entry.plug.control:
            groups[entry.plug.zone, entry.species, entry.plug.cut.astype("datetime64[D]")].append(entry)
    return groups


def evidence(
    plugs: pd.DataFrame | Iterable[Plug],
    looks: pd.DataFrame | Iterable[Look],
    batches: pd.DataFrame | Iterable[Batch] | Batch | None = None,
    *,
    on: np.datetime64 | None = None,
    priors: Priors | None = None,
    values: Mapping[str, float] | None = None,
    used: frozenset[str] = frozenset(),
) -> tuple[Evidence, ...]:
    """Evidence of all plugs looked at by `on`, in order of cut; void batches and controls say nothing.

    Args:
        plugs, looks, batches: the book's tables, or Plugs, Looks and Batches.
        on: UTC; later looks and plugs are left out.
        priors [1]: chance of dead by zone or plug, used only to judge whether a batch worked.
        values: threshold values by key; the table's when left out.
        used: ids of plugs a fit has used already.
    """
    table = Thresholds.defaults().values if values is None else values
    room = batches_from(batches)
    entries = all_plug_looks(plugs_from(plugs), looks_from(looks), room, on, table)
    before = table["plug_prior_dead"] if priors is None else priors
    found = []
    for name, together in by_batch(entries).items():
        if batch_is_void(room.get(name), together, table):
            continue
        for (zone, species, _), group in by_group(together).items():
            seen = [entry for entry in group if len(entry.reading.green) and entry.plug.id not in used]
            if not seen:
                continue
            ids = {entry.plug.id for entry in group}
            others = [(e, prior_of(e.plug, before, table)) for e in together if e.plug.id not in ids]
            found.append(
                Evidence(
                    zone=zone,
                    species=species,
                    cut=max(entry.plug.cut for entry in seen),
                    plugs=tuple(entry.plug.id for entry in seen),
                    log_alive=tuple(entry.log_alive for entry in seen),
                    log_dead=tuple(entry.log_dead for entry in seen),
                    batch=seen[0].plug.batch,
                    failure=failure_chance(others, table),
                )
            )
    return tuple(sorted(found, key=lambda e: (e.cut, e.zone, e.species)))


def evidence_by_zone(found: Iterable[Evidence]) -> dict[str, list[tuple[np.datetime64, Evidence]]]:
    """Zone -> (day of cut, evidence) pairs, as the evidence weights take them."""
    zones: dict[str, list[tuple[np.datetime64, Evidence]]] = defaultdict(list)
    for item in found:
        zones[item.zone].append((item.cut.astype("datetime64[D]"), item))
    return dict(zones)
