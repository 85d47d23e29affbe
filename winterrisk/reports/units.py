"""Shares, sizes and measures as the reader writes them: metric or US."""

import math
from typing import Final

SQUARE_FEET: Final = 10.7639
"""Square feet in a square metre."""
INCH_MM: Final = 25.4

_US_LENGTHS: Final = {"mm": INCH_MM, "cm": INCH_MM / 10.0}
_WORDS: Final = {"degC": "°C", "percent": "%", "d": "d"}


def fahrenheit(celsius: float) -> float:
    """A temperature [degC] in degrees Fahrenheit (by definition)."""
    return celsius * 1.8 + 32.0


def percent(share: float) -> str:
    """A share [1] in per cent: '0.5 %', '30 %'; below 0.1 % it is '0 %' only where it is nothing."""
    value = 100.0 * share
    if 0.0 < value < 0.1:
        return "under 0.1 %"
    return f"{value:.1f} %" if 0.0 < value < 1.0 else f"{math.floor(value + 0.5):d} %"


def share_range(low: float, high: float) -> str:
    """A range of shares [1]: '30-50 %', or one value where both are alike."""
    least, most = percent(low), percent(high)
    if least == most or least.startswith("under"):
        return most if least == most else f"{least} to {most}"
    return f"{least.removesuffix(' %')}-{most}"


def size_words(square_metres: float, units: str) -> str:
    """An area [m2] as '183 m²' or, for US readers, '1,970 ft²' to the nearest ten."""
    if units == "us":
        return f"{10 * math.floor(square_metres * SQUARE_FEET / 10.0 + 0.5):,d} ft²"
    return f"{math.floor(square_metres + 0.5):,d} m²"


def distance_words(metres: float, units: str) -> str:
    """A distance [m] on the ground as '7.6 m' or, for US readers, '25 ft'."""
    return f"{metres * math.sqrt(SQUARE_FEET):.0f} ft" if units == "us" else f"{metres:g} m"


def measure_words(value: float, unit: str, units: str) -> str:
    """A value in the book's unit as the reader measures: '9 mm', '0.4 in', '28 °F'; empty where missing."""
    if math.isnan(value):
        return ""
    if units == "us" and unit in _US_LENGTHS:
        return f"{value / _US_LENGTHS[unit]:.1f} in"
    if units == "us" and unit == "degC":
        return f"{fahrenheit(value):.0f} °F"
    return f"{value:g} {_WORDS.get(unit, unit)}".strip()
