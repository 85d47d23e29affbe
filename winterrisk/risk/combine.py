"""From doses to the expected dead share of each zone, one value for each member and threshold draw."""

from collections.abc import Mapping

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk import hazards

Array = NDArray[np.float64]
Values = Mapping[str, Array]


def running_doses(harm: xr.Dataset) -> xr.Dataset:
    """Doses as running maxima over days: what is dead stays dead.

    Returns the same variables `dose_<hazard>` (species, day, zone, member[, part]).
    """
    doses = {}
    for name in hazards.HAZARDS:
        dose = harm[f"dose_{name}"]
        axis = dose.get_axis_num("day")
        doses[dose.name] = dose.copy(data=np.maximum.accumulate(dose.to_numpy(), axis=axis))
    return xr.Dataset(doses)


def dead_of_species(doses: Mapping[str, Array], species: str, draws: Values) -> Array:
    """Expected dead share of one grass (..., member, draw) [1]: the hazards and background act independently.

    Args:
        doses: hazard -> running dose (..., member[, part]) of this grass.
        draws: threshold key -> array (draw).
    """
    alive: Array = 1.0 - np.asarray(draws["background"])[None, :]
    for name, dose in doses.items():
        apart = dose[..., None, :] if name == "wet_freeze" else dose[..., None]
        alive = alive * (1.0 - hazards.chance(name, apart, draws, species))
    return 1.0 - alive


def dead_share(doses: xr.Dataset, share: Mapping[str, float], draws: Values) -> Array:
    """Expected dead share ([day, ]member, draw) [1] of a zone: the grasses' mean by their cover.

    Args:
        doses (species, [day, ]member[, part]): running doses of one zone and one day or several.
        share: grass -> cover [1]; the covers are scaled to add to 1.
        draws: threshold key -> array (draw).
    """
    names = [str(s) for s in doses["species"].to_numpy()]
    arrays = {name: doses[f"dose_{name}"].to_numpy() for name in hazards.HAZARDS}
    total = sum(share.values())
    parts = [
        cover / total * dead_of_species({h: a[names.index(s)] for h, a in arrays.items()}, s, draws)
        for s, cover in share.items()
        if cover > 0
    ]
    return np.asarray(np.sum(parts, axis=0))
