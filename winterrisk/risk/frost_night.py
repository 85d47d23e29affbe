"""The night that did most of what frost has done to a zone: the one of which to ask whether snow lay on it."""

import numpy as np
import xarray as xr
from numpy.typing import NDArray
from scipy.special import expit

from winterrisk.thresholds import Draws


def frost_nights(
    doses: xr.Dataset, share: xr.DataArray, weights: xr.DataArray, draws: Draws, places: NDArray[np.intp]
) -> NDArray[np.datetime64]:
    """For each of some days and each zone (day, zone) the date whose frost added most to the chance of death by cold
    up to then, for the grass that frost hit hardest.

    Args:
        doses: running doses (species, day, zone, member); share (zone, species) [1]; weights (zone, member, draw).
        draws: chance draws; places: of the days wanted, among those of doses.
    """
    days, zones = doses["day"].to_numpy().astype("datetime64[D]"), doses["zone"].to_numpy()
    cold = doses["dose_cold"].transpose("zone", "species", "member", "day").to_numpy()
    chance = expit((cold + float(np.mean(draws["cold_offset"]))) / _spread(draws))
    by_member = weights.sel(zone=zones).sum("draw").transpose("zone", "member").to_numpy()
    cover = share.sel(zone=zones, species=doses["species"]).transpose("zone", "species").to_numpy()
    mean = np.einsum("zsmd,zm,zs->zsd", chance, by_member, cover > 0.0)
    rise = np.diff(mean, axis=-1, prepend=mean[..., :1])
    found = np.empty((len(places), len(zones)), dtype="datetime64[D]")
    for row, place in enumerate(places):
        hit = np.argmax(mean[:, :, place], axis=1)
        upto = rise[np.arange(len(zones)), hit, : place + 1]
        found[row] = days[np.argmax(upto, axis=1)]
    return found


def _spread(draws: Draws) -> float:
    """Spread of the kill curve over all draws [K]: its own, and that of the offset as a logistic curve has it."""
    return float(np.hypot(np.mean(draws["cold_spread"]), np.std(draws["cold_offset"]) * np.sqrt(3.0) / np.pi))
