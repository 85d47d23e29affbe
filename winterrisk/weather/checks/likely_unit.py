"""Which other unit would make sense of values that make none."""

from typing import Final

import numpy as np

from winterrisk.weather.checks.series import Array
from winterrisk.weather.units import SCALES
from winterrisk.weather.variables import VARIABLES

READABLE: Final = {
    "degC": "°C", "degF": "°F", "K": "kelvin", "mm": "mm", "cm": "cm", "inch": "inches", "m": "m",
    "km/h": "km/h", "mph": "mph", "knots": "knots", "m/s": "m/s", "hPa": "hPa", "kPa": "kPa", "Pa": "Pa",
    "inHg": "inches of mercury", "percent": "per cent", "oktas": "oktas", "W/m2": "W/m²",
    "MJ/m2/day": "MJ/m² a day",
}  # fmt: skip
"""Units of a station file as a person says them."""
CLOSE: Final = 4.0
"""Spreads of the hours around within which a converted value must lie (judged)."""


def likely_unit(name: str, values: Array, around: Array) -> str:
    """The unit, in words, that brings values into the possible and nearest to the hours around; empty where
    none does.

    Args:
        name: variable; values (time): in what was taken for our unit; around (other time): believed values.
    """
    variable = VARIABLES[name]
    middle = float(np.median(values))
    centre = float(np.median(around)) if len(around) else None
    spread = max(float(np.std(around)), 0.02 * (variable.high - variable.low)) if len(around) else 0.0
    best, distance = "", np.inf
    for unit, (factor, offset) in SCALES[variable.unit].items():
        there = factor * middle + offset
        if unit not in READABLE or (factor, offset) == (1.0, 0.0):
            continue
        if not variable.low <= there <= variable.high:
            continue
        away = 0.0 if centre is None else abs(there - centre) / spread
        if away < min(distance, CLOSE):
            best, distance = READABLE[unit], away
    return best
