"""The grasses the tool knows, in a fixed order, with the trade's words for them."""

from typing import Final

SPECIES: Final = (
    "annual_bluegrass",
    "creeping_bent",
    "velvet_bent",
    "colonial_bent",
    "perennial_ryegrass",
    "kentucky_bluegrass",
    "fine_fescue",
    "timothy",
    "winter_wheat",
)
REFERENCE_ONLY: Final = ("timothy", "winter_wheat")
"""Kept for published cases; refused in a course file."""

LABELS: Final = {
    "annual_bluegrass": "annual bluegrass",
    "creeping_bent": "creeping bent",
    "velvet_bent": "velvet bent",
    "colonial_bent": "colonial bent",
    "perennial_ryegrass": "perennial ryegrass",
    "kentucky_bluegrass": "Kentucky bluegrass",
    "fine_fescue": "fine fescue",
    "timothy": "timothy",
    "winter_wheat": "winter wheat",
}
