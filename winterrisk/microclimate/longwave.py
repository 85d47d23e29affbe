"""Longwave on a zone: the sky it sees, and trees and hills in the rest."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.weather.longwave import black_body

SURROUND_EMISSIVITY: Final = 0.97
"""Emissivity of trees and slopes [1] (handbook value, from memory)."""


def zone_longwave(sky_longwave: ArrayLike, temperature: ArrayLike, sky: float) -> NDArray[np.float64]:
    """Longwave from above on a zone [W m-2]; what hides the sky is as warm as the air.

    Args:
        sky_longwave (…) [W m-2]: of the open sky; temperature (…) [degC]: of the air; sky [1]: share of it
            seen.
    """
    around = (1.0 - sky) * SURROUND_EMISSIVITY * black_body(temperature)
    return sky * np.asarray(sky_longwave, dtype=np.float64) + around
