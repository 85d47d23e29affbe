"""Which cause did the harm: shares by hazard, with what timing cannot tell apart called mixed."""

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk import hazards
from winterrisk.thresholds import Draws


def share_by_hazard(
    doses: xr.Dataset,
    winter_days: xr.Dataset,
    places: NDArray[np.intp],
    share: xr.DataArray,
    thresholds: Draws,
    weights: xr.DataArray,
) -> xr.DataArray:
    """Share of the harm that each cause has (day, zone, hazard) [1], at the central thresholds.

    Args:
        doses (species, day, zone, member[, part]): running doses.
        places: indices of the days wanted.
        share (zone, species) [1]; weights (zone, member, draw) [1].
    """
    central = {key: float(np.median(values)) for key, values in thresholds.items()}
    names = [*hazards.CAUSES]
    zones = [str(z) for z in doses["zone"].to_numpy()]
    result = np.zeros((len(places), len(zones), len(names)), dtype=np.float32)
    dose = {name: doses[f"dose_{name}"].to_numpy() for name in hazards.HAZARDS}
    swung = np.cumsum(winter_days["swings"].transpose("day", "zone", "member").to_numpy(), axis=0)[places]
    for z, zone in enumerate(zones):
        weight = weights.sel(zone=zone).sum("draw").to_numpy()
        for s, species in enumerate(str(name) for name in doses["species"].to_numpy()):
            cover = float(share.sel(zone=zone, species=species))
            if cover <= 0:
                continue
            ice, wet = (
                hazards.chance(name, dose[name][s, :, z], central, species) for name in ("ice", "wet_freeze")
            )
            apart = np.stack([hazards.timing_apart(ice[: p + 1], wet[: p + 1]) for p in places])
            now = {
                name: hazards.chance(name, dose[name][s, places, z], central, species)
                for name in hazards.HAZARDS
            }
            now["background"] = np.full(apart.shape, central["background"])
            parts = hazards.shares(now, swung[:, z], apart)
            harm = cover * weight * hazards.combine(now)
            result[:, z] += np.stack([(parts[name] * harm).sum(axis=-1) for name in names], axis=-1)
    total = result.sum(axis=-1, keepdims=True)
    return xr.DataArray(
        np.divide(result, total, out=np.zeros_like(result), where=total > 0),
        dims=("day", "zone", "hazard"),
        coords={"hazard": names},
        attrs={"units": "1", "long_name": "share of the harm by cause"},
    )
