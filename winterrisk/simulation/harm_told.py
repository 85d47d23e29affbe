"""How likely each zone is harmed by a day, from doses and what is known: as the outlook says it, without the rest."""

import numpy as np
import xarray as xr

from winterrisk import hazards
from winterrisk.risk import Known
from winterrisk.risk.combine import dead_share
from winterrisk.thresholds import Draws


def chances_of_harm(
    harm: xr.Dataset, known: Known, turf: xr.Dataset, draws: Draws, day: np.datetime64
) -> dict[str, float]:
    """Zone -> chance that more than a quarter of it is dead by a day [1].

    Args:
        harm: doses (species, day, zone, member), running or not; day: the last of them that counts.
    """
    precision = float(np.mean(draws["survey_precision"]))
    until = int(
        np.searchsorted(harm["day"].to_numpy().astype("datetime64[D]"), np.datetime64(day, "D"), "right")
    )
    there = harm[[f"dose_{name}" for name in hazards.HAZARDS]].isel(day=slice(until)).max("day")
    species = [str(s) for s in turf["species"].to_numpy()]
    found = {}
    for zone in (str(z) for z in harm["zone"].to_numpy()):
        cover = {s: float(turf["share"].sel(zone=zone, species=s)) for s in species}
        w = known.weights.sel(zone=zone).to_numpy()
        p = dead_share(there.sel(zone=zone), cover, draws)
        found[zone] = float((known.harmed(zone, p, precision) * w).sum() / w.sum())
    return found
