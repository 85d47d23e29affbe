"""How dense snow falls: one line for the column and for a depth sensor."""

import numpy as np

from winterrisk.science.compiled import njit_unasked

LIGHTEST = 50.0
"""Density of new snow in the cold [kg m-3] (Anderson 1976)."""
COLDEST, WARMEST = -15.0, 2.0
"""Wet bulb between which density rises [degC]: Anderson 1976 from -15; his table ends near 2."""
RISE, POWER = 1.7, 1.5
"""Rise of density [kg m-3 K-1.5] and its power [1] (Anderson 1976)."""


@njit_unasked(allocates=True)
def new_snow_density(wet_bulb):  # type: ignore[no-untyped-def]
    """Density of falling snow [kg m-3], 50 to 169, from the wet bulb (...) [degC]; wind packs it only once it lies.

    Reference: Anderson (1976), after LaChapelle (1961).
    """
    above = np.minimum(np.maximum(wet_bulb - COLDEST, 0.0), WARMEST - COLDEST)
    return LIGHTEST + RISE * above**POWER
