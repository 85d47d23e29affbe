"""Trees and hills round a zone: how much sky it sees and when they hide the sun."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

HALF_HOUR_OF_SUN: Final = 2.0
"""Degrees on either side of the horizon over which the sun of an hour goes from hidden to seen (judged: it
climbs 2 to 6 degrees an hour in winter, and tree tops are no line)."""


def sky_view(horizon: Sequence[float]) -> float:
    """Share of the sky seen from level ground [1] behind horizon elevations [degrees] evenly spaced round.

    Mean of cos^2 of the elevations. Reference: Dozier and Marks (1987), level ground; from memory.
    """
    return float(np.mean(np.cos(np.radians(np.asarray(horizon, dtype=np.float64))) ** 2))


def horizon_at(horizon: Sequence[float], azimuth: ArrayLike) -> Array:
    """Elevation of the horizon [degrees] at azimuths [degrees], straight between the given directions."""
    heights = np.asarray(horizon, dtype=np.float64)
    step = 360.0 / len(heights)
    around = np.concatenate([heights, heights[:1]])
    return np.interp(np.mod(azimuth, 360.0), step * np.arange(len(around)), around)


def beam_seen(sun_elevation: ArrayLike, sun_azimuth: ArrayLike, horizon: Sequence[float]) -> Array:
    """Share of the hour's beam that clears the horizon [1].

    Args:
        sun_elevation, sun_azimuth (time) [degrees]: middle of the hour.
    """
    above = np.asarray(sun_elevation, dtype=np.float64) - horizon_at(horizon, sun_azimuth)
    if not np.any(np.asarray(horizon)):
        return (np.asarray(sun_elevation) > 0.0).astype(np.float64)
    return np.clip(0.5 + above / (2.0 * HALF_HOUR_OF_SUN), 0.0, 1.0)
