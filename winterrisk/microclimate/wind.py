"""Wind as a zone feels it."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

SHELTERED_LOSS: Final = 0.5
"""Share of the wind that a sheltered pocket loses [1] (judged; shelter belts take 40 to 70 %)."""
EXPOSED_GAIN: Final = 0.25
"""Share that a knoll adds [1] (judged; low hills add 20 to 40 %)."""


def zone_wind(wind_speed: ArrayLike, exposure: float) -> NDArray[np.float64]:
    """Wind speed at 10 m [m s-1] over a zone of exposure -1 (sheltered) to 1 (exposed)."""
    factor = 1.0 + (EXPOSED_GAIN if exposure > 0 else SHELTERED_LOSS) * exposure
    return np.asarray(wind_speed, dtype=np.float64) * factor
