"""Sun by the day: what reaches the top of the air, how long it is light, what a clear day brings."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SOLAR_CONSTANT: Final = 0.0820
"""[MJ m-2 min-1] (FAO-56, below eq. 21)."""
CLEAR_SHARE: Final = 0.75
"""Share of the extraterrestrial radiation that reaches the sea's level on a clear day (FAO-56 eq. 37)."""
CLEAR_SHARE_BY_HEIGHT: Final = 2e-5
"""Its rise with height [m-1] (FAO-56 eq. 37)."""
ANGSTROM: Final = (0.25, 0.50)
"""Share of the extraterrestrial radiation on an overcast day, and what full sun adds (FAO-56 eq. 35)."""


def relative_distance(day_of_year: ArrayLike) -> Array:
    """Inverse relative distance from earth to sun [1]. Reference: FAO-56 eq. 23."""
    return 1.0 + 0.033 * np.cos(2.0 * np.pi * np.asarray(day_of_year, dtype=np.float64) / 365.0)


def declination(day_of_year: ArrayLike) -> Array:
    """Declination of the sun [rad]. Reference: FAO-56 eq. 24."""
    return 0.409 * np.sin(2.0 * np.pi * np.asarray(day_of_year, dtype=np.float64) / 365.0 - 1.39)


def sunset_angle(latitude: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Hour angle of the sunset [rad]: 0 in the polar night, pi in the midnight sun. Reference: FAO-56 eq.
    25."""
    phi = np.radians(np.asarray(latitude, dtype=np.float64))
    return np.arccos(np.clip(-np.tan(phi) * np.tan(declination(day_of_year)), -1.0, 1.0))


def daylight_hours(latitude: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Longest possible sunshine of a day [h]. Reference: FAO-56 eq. 34."""
    return 24.0 / np.pi * sunset_angle(latitude, day_of_year)


def extraterrestrial(latitude: ArrayLike, day_of_year: ArrayLike) -> Array:
    """Radiation of a day on a level surface above the air [MJ m-2 d-1]. Reference: FAO-56 eq. 21."""
    phi = np.radians(np.asarray(latitude, dtype=np.float64))
    ws, delta = sunset_angle(latitude, day_of_year), declination(day_of_year)
    geometry = ws * np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.sin(ws)
    return 24.0 * 60.0 / np.pi * SOLAR_CONSTANT * relative_distance(day_of_year) * np.maximum(geometry, 0.0)


def clear_day(extraterrestrial_day: ArrayLike, elevation: float) -> Array:
    """Radiation of a clear day [MJ m-2 d-1] from the extraterrestrial. Reference: FAO-56 eq. 37."""
    share = CLEAR_SHARE + CLEAR_SHARE_BY_HEIGHT * elevation
    return share * np.asarray(extraterrestrial_day, dtype=np.float64)


def day_from_sunshine(sunshine: ArrayLike, daylight: ArrayLike, extraterrestrial_day: ArrayLike) -> Array:
    """Radiation of a day [MJ m-2 d-1] from its hours of sunshine. Reference: FAO-56 eq. 35 (Angstrom).

    Args:
        sunshine, daylight [h]; extraterrestrial_day [MJ m-2 d-1].
    """
    overcast, sun = ANGSTROM
    share = np.asarray(sunshine, dtype=np.float64) / np.maximum(np.asarray(daylight, dtype=np.float64), 1e-6)
    return (overcast + sun * np.clip(share, 0.0, 1.0)) * np.asarray(extraterrestrial_day, dtype=np.float64)
