"""The curve both snow moulds share."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray


def mould_chance(
    dose: NDArray[np.floating],
    half_days: float | NDArray[np.float64],
    thresholds: Mapping[str, float | NDArray[np.float64]],
) -> NDArray[np.float64]:
    """Chance of death by mould [0-1]: mould_most/(1 + (dose/half_days)^-mould_steepness). Judged."""
    ratio = np.maximum(dose, 1e-6) / half_days
    power = -np.asarray(thresholds["mould_steepness"], dtype=np.float64)
    return np.asarray(thresholds["mould_most"] / (1.0 + ratio**power))
