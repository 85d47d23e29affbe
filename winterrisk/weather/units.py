"""From the units of a station file to the units of the package."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.constants import ZERO_CELSIUS

INCH: Final = 25.4
"""[mm] (exact)."""
INCH_OF_MERCURY: Final = 33.8639
"""Inch of mercury [hPa] (handbook value, from memory)."""
KNOT: Final = 1852.0 / 3600.0
"""[m s-1] (exact)."""
MILE_PER_HOUR: Final = 0.44704
"""[m s-1] (exact)."""
MEGAJOULE_PER_DAY: Final = 1e6 / 86400.0
"""[W m-2] (exact)."""
OKTA: Final = 1.0 / 8.0
"""[1] (exact)."""

SCALES: Final[Mapping[str, Mapping[str, tuple[float, float]]]] = {
    "degC": {
        "degC": (1.0, 0.0),
        "degF": (5.0 / 9.0, -160.0 / 9.0),
        "K": (1.0, -ZERO_CELSIUS),
    },
    "kg m-2": {
        "kg m-2": (1.0, 0.0),
        "mm": (1.0, 0.0),
        "inch": (INCH, 0.0),
        "cm": (10.0, 0.0),
        "m": (1000.0, 0.0),
    },
    "m": {"m": (1.0, 0.0), "cm": (0.01, 0.0), "mm": (0.001, 0.0), "inch": (INCH / 1000.0, 0.0)},
    "m s-1": {
        "m s-1": (1.0, 0.0),
        "m/s": (1.0, 0.0),
        "km/h": (1.0 / 3.6, 0.0),
        "mph": (MILE_PER_HOUR, 0.0),
        "knots": (KNOT, 0.0),
    },
    "hPa": {
        "hPa": (1.0, 0.0),
        "kPa": (10.0, 0.0),
        "Pa": (0.01, 0.0),
        "inHg": (INCH_OF_MERCURY, 0.0),
    },
    "W m-2": {"W m-2": (1.0, 0.0), "W/m2": (1.0, 0.0), "MJ/m2/day": (MEGAJOULE_PER_DAY, 0.0)},
    "1": {"1": (1.0, 0.0), "fraction": (1.0, 0.0), "percent": (0.01, 0.0), "oktas": (OKTA, 0.0)},
}
"""Our unit -> unit in the file -> (factor, offset): ours = factor x theirs + offset."""


def known_units(unit: str) -> tuple[str, ...]:
    """The units that can be turned into one of ours."""
    return tuple(SCALES[unit])


def in_our_unit(values: NDArray[np.float64], given: str, ours: str) -> NDArray[np.float64]:
    """Values in our unit.

    Raises:
        KeyError: `given` is not a unit of that quantity (see `known_units`).
    """
    factor, offset = SCALES[ours][given]
    return values * factor + offset
