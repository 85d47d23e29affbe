"""Kinds of observation and work: what a person can see or do, and the unit the book keeps it in."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Kind:
    """One kind of row in `observations`.

    unit: the book's unit of `value`, "" where the kind has none. low, high: what the value can be.
    words: how the row reads back; needs_value: a row without a value says nothing.
    """

    name: str
    words: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    needs_value: bool = False


_KINDS = (
    Kind("ice_seen", "ice", "mm", 0.0, 500.0),
    Kind("ice_from", "ice since", "d", 0.0, 60.0),
    Kind("no_ice", "no ice"),
    Kind("snow_depth_seen", "snow", "cm", 0.0, 500.0, needs_value=True),
    Kind("water_seen", "standing water", "mm", 0.0, 500.0),
    Kind("snow_cleared", "snow cleared, left", "cm", 0.0, 200.0),
    Kind("snow_banked", "snow banked on the drain side"),
    Kind("packed", "snow packed"),
    Kind("ice_removed", "ice removed"),
    Kind("ice_broken", "ice broken"),
    Kind("water_removed", "water removed"),
    Kind("drain_side_opened", "drain side opened"),
    Kind("cover_on", "cover on"),
    Kind("cover_opened", "cover opened"),
    Kind("cover_off", "cover off"),
    Kind("vented", "vented"),
    Kind("dark_sand", "dark sand"),
    Kind("sanded", "sanded"),
    Kind("gas_seen", "oxygen", "percent", 0.0, 25.0, needs_value=True),
    Kind("crown_temperature_seen", "crown temperature", "degC", -45.0, 45.0, needs_value=True),
)
KINDS: Final = {kind.name: kind for kind in _KINDS}
"""Kind by name."""

_SCALES: Final = {
    ("mm", "mm"): 1.0,
    ("cm", "mm"): 10.0,
    ("m", "mm"): 1000.0,
    ("inch", "mm"): 25.4,
    ("mm", "cm"): 0.1,
    ("cm", "cm"): 1.0,
    ("m", "cm"): 100.0,
    ("inch", "cm"): 2.54,
    ("d", "d"): 1.0,
    ("percent", "percent"): 1.0,
    ("fraction", "percent"): 100.0,
    ("degC", "degC"): 1.0,
}


def in_unit(value: float, unit: str, wanted: str) -> float | None:
    """A value turned into the book's unit; None where the unit does not fit.

    Args:
        value [unit]; unit, wanted: mm, cm, m, inch, d, percent, fraction, degC, degF.
    """
    if (unit, wanted) == ("degF", "degC"):
        return (value - 32.0) / 1.8
    scale = _SCALES.get((unit, wanted))
    return None if scale is None else value * scale
