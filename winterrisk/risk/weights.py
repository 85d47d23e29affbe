"""What plugs and spring surveys say about members and draws: evidence weights, zone by zone."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course import winter_end, winter_of
from winterrisk.plugs import Evidence, evidence
from winterrisk.risk.combine import dead_share, running_doses
from winterrisk.risk.spread import PARTS, band_chance
from winterrisk.risk.standing import Standing, standing
from winterrisk.risk.survey import survey_log_likelihood
from winterrisk.thresholds import Draws

Array = NDArray[np.float64]

ELSEWHERE = 0.25
"""Power with which a plug speaks for another zone (judged; at most 0.5)."""
EVER = pd.Timestamp.min
SMALLEST_EFFECTIVE = 0.02
"""Share of all member-draw pairs that must stay effective; evidence is tempered until it does (judged)."""


def effective_share(log_weight: Array, base: Array) -> float:
    """Effective number of member-draw pairs over their number [1], as against the base weights."""
    w = base * np.exp(log_weight - log_weight.max())
    return float(w.sum() ** 2 / (w**2).sum() / w.size)


def tempered(log_likelihood: Array, base: Array) -> Array:
    """The log likelihood, scaled down just enough to keep the effective number up."""
    limit = min(SMALLEST_EFFECTIVE, effective_share(np.zeros_like(log_likelihood), base))
    if effective_share(log_likelihood, base) >= limit:
        return log_likelihood
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        if effective_share(middle * log_likelihood, base) >= limit:
            low = middle
        else:
            high = middle
    return low * log_likelihood


@dataclass(frozen=True)
class Known:
    """What plugs and surveys say: evidence weights (zone, member, draw) [1], and the standing of zones with plugs."""

    weights: xr.DataArray
    standing: Mapping[str, Standing]

    def harmed(self, zone: str, p: Array, precision: float) -> Array:
        """Chance that over a quarter of a zone is dead [1]; p [1]: its expected dead share, both (member, draw)."""
        chance, stands = band_chance(p, precision)[PARTS], self.standing.get(zone)
        return chance if stands is None else stands.chances(chance)


def known(
    harm: xr.Dataset,
    thresholds: Draws,
    plugs: pd.DataFrame,
    looks: pd.DataFrame,
    surveys: pd.DataFrame | None = None,
    *,
    batches: pd.DataFrame,
    share: xr.DataArray,
    base: Array | None = None,
    on: np.datetime64 | None = None,
    used: frozenset[str] = frozenset(),
    values: Mapping[str, float] | None = None,
) -> Known:
    """Weight (zone, member, draw) of each possible winter and threshold draw [1], adding to 1 in each zone, and where
    zones with plugs stand among zones of the same expectation.

    Evidence speaks fully for its own zone and with a power of `ELSEWHERE` for the others; where all of it
    together would leave too few pairs it is tempered. What was cut or surveyed in another winter says nothing here.

    Args:
        harm: doses of `hazards.run`.
        thresholds: chance draws, key -> array (draw).
        plugs, looks, batches, surveys: tables of the book.
        share (zone, species) [1]: cover of each grass.
        base (member): prior weight of the members; equal when left out.
        on: UTC; what was cut, seen or surveyed later, or learned of later, is left out.
        used: ids of plugs, and of surveys as "survey 12", that the thresholds have learned from already: they weigh
            no thresholds again, and still tell where their zone stands.
        values: threshold values by key, with the course's plug room in them; the table's when left out.
    """
    doses = running_doses(harm)
    days = doses["day"].to_numpy().astype("datetime64[D]")
    summer = np.datetime64(winter_end(winter_of(days[0].item())), "D") + 1
    zones = [str(z) for z in harm["zone"].to_numpy()]
    n_member, n_draw = harm.sizes["member"], len(thresholds["background"])
    prior = np.full(n_member, 1.0 / n_member) if base is None else base / base.sum()
    worked: dict[tuple[str, np.datetime64, str], Array] = {}

    def expected(zone: str, day: np.datetime64, species: str) -> Array:
        if (zone, day, species) not in worked:
            place = int(np.clip(np.searchsorted(days, day, side="right") - 1, 0, len(days) - 1))
            grasses = [str(s) for s in harm["species"].to_numpy()]
            cover = {s: float(share.sel(zone=zone, species=s)) for s in grasses if species in ("all", s)}
            there = doses.sel(zone=zone).isel(day=place)
            worked[zone, day, species] = dead_share(there, cover, thresholds)
        return worked[zone, day, species]

    spoken = {zone: np.zeros((n_member, n_draw)) for zone in zones}
    told: dict[str, list[tuple[Array, Evidence]]] = {}

    def speaking(left_out: frozenset[str]) -> list[tuple[str, Array, Evidence]]:
        items = evidence(plugs, looks, batches, on=on, values=values, used=left_out)
        cut = [(item, item.cut.astype("datetime64[D]")) for item in items if item.zone in spoken]
        return [(i.zone, expected(i.zone, day, i.species), i) for i, day in cut if days[0] <= day < summer]

    every = speaking(frozenset())
    for zone, p, item in every:
        told.setdefault(zone, []).append((p, item))
    for zone, p, item in speaking(used) if used else every:
        spoken[zone] += item.log_likelihood(p, thresholds["plug_correlation"])
    for row in [] if surveys is None else surveys.to_dict("records"):
        zone, date = str(row["zone"]), np.datetime64(row["date"], "D")
        by_then = on is None or (date <= on and not row.get("known", EVER) > pd.Timestamp(on))
        if zone in spoken and by_then and days[0] <= date < summer and f"survey {row.get('id')}" not in used:
            p = expected(zone, date, str(row["species"]))
            spoken[zone] += survey_log_likelihood(
                p, float(row["dead_low"]), float(row["dead_high"]), thresholds["survey_precision"]
            )
    pairs = np.repeat(prior[:, None], n_draw, axis=1) / n_draw
    together = sum(spoken.values(), np.zeros((n_member, n_draw)))
    result = np.empty((len(zones), n_member, n_draw))
    for index, zone in enumerate(zones):
        log_weight = tempered(ELSEWHERE * together + (1 - ELSEWHERE) * spoken[zone], pairs)
        w = pairs * np.exp(log_weight - log_weight.max())
        result[index] = w / w.sum()
    precision, likeness = (
        float(np.mean(thresholds[key])) for key in ("survey_precision", "plug_correlation")
    )
    return Known(
        xr.DataArray(
            result,
            dims=("zone", "member", "draw"),
            coords={"zone": zones},
            name="weight",
            attrs={"units": "1", "long_name": "weight of member and threshold draw after the evidence"},
        ),
        {zone: standing(found, precision, likeness) for zone, found in told.items()},
    )


def weights(
    harm: xr.Dataset,
    thresholds: Draws,
    plugs: pd.DataFrame,
    looks: pd.DataFrame,
    surveys: pd.DataFrame | None = None,
    **more: Any,
) -> xr.DataArray:
    """Evidence weights (zone, member, draw) [1] alone; arguments, validity and errors as of `known`."""
    return known(harm, thresholds, plugs, looks, surveys, **more).weights
