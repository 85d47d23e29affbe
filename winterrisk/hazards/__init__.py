"""Hazards: from winter days to doses, and from doses to chances of death, for each grass.

| file | hazard | dose [unit] | learned rows of its chance |
|---|---|---|---|
| cold | a night below the kill temperature | worst margin [K] | cold_offset, cold_spread |
| wet_freeze | the extra for a soaked crown | worst margins, dry and wet [K] | wet_shift and those of cold |
| ice | no air under ice or a cover | airless over half-kill days [1] | ice_multiplier, ice_steepness |
| drying | bare, frozen, windy | drying days [d] | none |
| snow_mould_pink, snow_mould_grey | snow on turf near freezing | mould days [d] | none |
| spring_frost | a freeze after growth began | worst margin [K] | none |

| other file | holds |
|---|---|
| hardiness, swings, freeze_up | the kill temperature, what swings cost, how hardening went |
| traits, days, winter, harm | the rows as the loop wants them, winter days as arrays, the daily loop, `run` |
| combination | combine, cumulative, shares by cause |

Reads winter_days of the column; needs no thresholds for a dose and no weather for a chance.
No dose is published for drying and snow mould, nor the size of the wet shift: `UNPUBLISHED` names them.
"""

from collections.abc import Callable, Mapping
from types import ModuleType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.hazards import (
    cold,
    drying,
    freeze_up,
    ice,
    snow_mould_grey,
    snow_mould_pink,
    spring_frost,
    swings,
    wet_freeze,
)
from winterrisk.hazards.combination import combine, cumulative, harm_amounts, shares, timing_apart
from winterrisk.hazards.days import WinterDaysError
from winterrisk.hazards.freeze_up import hardening_at_freeze_up, poor_hardening
from winterrisk.hazards.harm import run
from winterrisk.hazards.names import CAUSES, HAZARDS, PARTS, WET_SIZES
from winterrisk.hazards.spring_frost import spring_guard

_FILES: Final[Mapping[str, ModuleType]] = {
    "cold": cold,
    "wet_freeze": wet_freeze,
    "ice": ice,
    "drying": drying,
    "snow_mould_pink": snow_mould_pink,
    "snow_mould_grey": snow_mould_grey,
    "spring_frost": spring_frost,
}

UNPUBLISHED: Final = ("wet_freeze", "drying", "snow_mould_pink", "snow_mould_grey", "spring_frost")
"""Hazards whose relation of dose to chance is judged; output marks them."""

Chance = Callable[[NDArray[np.floating], Mapping[str, float | NDArray[np.float64]], str], NDArray[np.float64]]


def chance(
    name: str,
    dose: NDArray[np.floating],
    thresholds: Mapping[str, float | NDArray[np.float64]],
    species: str,
) -> NDArray[np.float64]:
    """Chance of death [0-1] by the named hazard; dose and thresholds broadcast.

    The last axis of the wet-freeze dose is `part` and does not broadcast.
    """
    found: Chance = _FILES[name].chance
    return found(dose, thresholds, species)


__all__ = [
    "CAUSES",
    "HAZARDS",
    "PARTS",
    "UNPUBLISHED",
    "WET_SIZES",
    "WinterDaysError",
    "chance",
    "cold",
    "combine",
    "cumulative",
    "drying",
    "freeze_up",
    "hardening_at_freeze_up",
    "harm_amounts",
    "ice",
    "poor_hardening",
    "run",
    "shares",
    "snow_mould_grey",
    "snow_mould_pink",
    "spring_frost",
    "spring_guard",
    "swings",
    "timing_apart",
    "wet_freeze",
]
