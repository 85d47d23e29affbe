"""The ways to die, in the order of the story, and the causes that a share of the harm may go to."""

from typing import Final

HAZARDS: Final = (
    "cold",
    "wet_freeze",
    "ice",
    "drying",
    "snow_mould_pink",
    "snow_mould_grey",
    "spring_frost",
)
"""Each has a file with dose and chance."""

CAUSES: Final = (*HAZARDS, "swings", "mixed", "background")
"""What attribution may name: the hazards, swings (no chance of their own), mixed and background."""

WET_SIZES: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Sizes of the wet shift at which the wet-freeze dose is worked; the chance interpolates between them."""

PARTS: Final = ("dry", *(f"wet {size:g}" for size in WET_SIZES))
"""Labels of the last axis of the wet-freeze dose: the dry margin, then the wet margin at each size."""

NO_MARGIN: Final = -99.0
"""Margin [K] before any cold day: no chance, and finite so that interpolation stays safe."""
