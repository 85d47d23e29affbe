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
    for z, zone in enumerate(zones):
        weight = weights.sel(zone=zone).sum("draw").to_numpy()
        swings = winter_days["swings"].isel(zone=z).transpose("day", "member").cumsum("day").to_numpy()
        for s, species in enumerate(doses["species"].to_numpy()):
            cover = float(share.sel(zone=zone, species=species))
            if cover <= 0:
                continue
            every = {
                name: hazards.chance(name, doses[f"dose_{name}"].to_numpy()[s, :, z], central, str(species))
                for name in hazards.HAZARDS
            }
            for d, place in enumerate(places):
                now = {name: chance[place] for name, chance in every.items()}
                now["background"] = np.full(len(weight), central["background"])
                apart = hazards.timing_apart(every["ice"][: place + 1], every["wet_freeze"][: place + 1])[0]
                parts = hazards.shares(now, swings[place], apart)
                harm = cover * weight * hazards.combine(now)
                result[d, z] += [float((parts[name] * harm).sum()) for name in names]
    total = result.sum(axis=-1, keepdims=True)
    return xr.DataArray(
        np.divide(result, total, out=np.zeros_like(result), where=total > 0),
        dims=("day", "zone", "hazard"),
        coords={"hazard": names},
        attrs={"units": "1", "long_name": "share of the harm by cause"},
    )
