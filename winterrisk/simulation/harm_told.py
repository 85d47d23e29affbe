"""How likely each zone is harmed by a day, from running doses and what is known: as the outlook says it, without the
rest of it."""

import numpy as np
import xarray as xr

from winterrisk.risk import Known
from winterrisk.risk.combine import dead_share
from winterrisk.thresholds import Draws


def chances_of_harm(
    doses: xr.Dataset, known: Known, turf: xr.Dataset, draws: Draws, day: np.datetime64
) -> dict[str, float]:
    """Zone -> chance that more than a quarter of it is dead by a day [1].

    Args:
        doses: running doses (species, day, zone, member); day: the last of them that counts.
    """
    precision = float(np.mean(draws["survey_precision"]))
    days = doses["day"].to_numpy().astype("datetime64[D]")
    place = int(np.searchsorted(days, np.datetime64(day, "D"), side="right")) - 1
    there = doses.isel(day=place)
    species = [str(s) for s in turf["species"].to_numpy()]
    found = {}
    for zone in (str(z) for z in doses["zone"].to_numpy()):
        cover = {s: float(turf["share"].sel(zone=zone, species=s)) for s in species}
        w = known.weights.sel(zone=zone).to_numpy()
        p = dead_share(there.sel(zone=zone), cover, draws)
        found[zone] = float((known.harmed(zone, p, precision) * w).sum() / w.sum())
    return found
