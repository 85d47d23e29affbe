"""Air pressure where the station gives none, or gives it reduced to the sea."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.air import pressure_at_height
from winterrisk.science.constants import STANDARD_PRESSURE

Array = NDArray[np.float64]

FAR_FROM_STANDARD: Final = 20.0
"""Distance of a record's median from the standard atmosphere at its height that weather does not explain
[hPa] (judged; monthly means at one place stay within about 12)."""


def is_sea_level(pressure: Array, elevation: float) -> bool:
    """Whether a record of pressure [hPa] must be reduced to sea level: it fits there and not at `elevation`
    [m]."""
    if not np.isfinite(pressure).any():
        return False
    median = float(np.nanmedian(pressure))
    here = float(pressure_at_height(elevation))
    return abs(median - here) > FAR_FROM_STANDARD and abs(median - STANDARD_PRESSURE) < FAR_FROM_STANDARD


def at_station(sea_level_pressure: Array, elevation: float) -> Array:
    """Pressure at a height [hPa] from the pressure reduced to sea level, by the standard atmosphere."""
    return sea_level_pressure * float(pressure_at_height(elevation)) / STANDARD_PRESSURE
