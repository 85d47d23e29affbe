"""Which rows of the table a fit learns, and which it samples beside them."""

from collections.abc import Sequence

from winterrisk.science.faults import Fault, Refused, nearest
from winterrisk.thresholds import LEARNED, TABLE

DEFAULT_ROWS = ("ice_multiplier.annual_bluegrass",)
"""What is learned when nothing else is asked for."""
BESIDE = ("ice_steepness", "background", "plug_correlation", "cold_offset")
"""Sampled along with any row, so that doubt of them widens the result; not adopted."""


ICE_ROW = "ice_multiplier"
"""Name of the row of a grass's days without air."""


class CalibrationError(Refused):
    """A fit that cannot be made."""


def beside_of(rows: Sequence[str], grasses: Sequence[str] = ()) -> tuple[str, ...]:
    """Keys a death could be put down to instead, or a survival: those of all turf, and those of its grasses.

    Args:
        rows: keys to learn. grasses: all that grow on the course: a plug of mixed turf tells of each of them.
    """
    own = dict.fromkeys(TABLE[key].species for key in rows if key in TABLE and TABLE[key].species)
    shifts = tuple(f"wet_shift.{species}" for species in own)
    if not any(key.startswith(f"{ICE_ROW}.") for key in rows):
        return (*BESIDE, *shifts)
    others = tuple(f"{ICE_ROW}.{species}" for species in grasses if f"{ICE_ROW}.{species}" not in rows)
    return (*BESIDE, *shifts, *others)


def check_rows(names: Sequence[str]) -> None:
    """Refuse names that plugs and surveys cannot move.

    Raises:
        CalibrationError: every such name, with the nearest that can.
    """
    faults = []
    for name in names:
        if name not in LEARNED:
            close = nearest(name, LEARNED)
            hint = f"did you mean {close}?" if close else ""
            faults.append(Fault("row to learn", name, "one that plugs and surveys may move", hint))
    if faults:
        raise CalibrationError(faults)
