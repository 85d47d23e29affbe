"""Which rows of the table a fit learns, and which it samples beside them."""

from collections.abc import Sequence

from winterrisk.science.faults import Fault, Refused, nearest
from winterrisk.thresholds import LEARNED, TABLE

DEFAULT_ROWS = ("ice_multiplier.annual_bluegrass",)
"""What is learned when nothing else is asked for."""
BESIDE = ("ice_steepness", "background", "plug_correlation", "cold_offset")
"""Sampled along with any row, so that doubt of them widens the result; not adopted."""


class CalibrationError(Refused):
    """A fit that cannot be made."""


def beside_of(rows: Sequence[str]) -> tuple[str, ...]:
    """Keys a death could be put down to instead: those of all turf, and the wet shift of the same grasses."""
    grasses = dict.fromkeys(TABLE[key].species for key in rows if key in TABLE and TABLE[key].species)
    return (*BESIDE, *(f"wet_shift.{species}" for species in grasses))


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
