"""Height of trees and hills round a zone, from a word or from what a person measured."""

from collections.abc import Mapping
from typing import Final

from winterrisk.course.directions import DIRECTIONS

SHADE: Final[Mapping[str, Mapping[str, float]]] = {
    "none": {},
    "morning": {"ENE": 25, "E": 30, "ESE": 35, "SE": 30, "SSE": 20},
    "midday": {"SE": 15, "SSE": 25, "S": 30, "SSW": 25, "SW": 15},
    "afternoon": {"SSW": 20, "SW": 30, "WSW": 35, "W": 30, "WNW": 25},
    "most of the day": {
        "ENE": 25, "E": 30, "ESE": 35, "SE": 35, "SSE": 30, "S": 30,
        "SSW": 30, "SW": 35, "WSW": 35, "W": 30, "WNW": 25,
    },
}  # fmt: skip
"""Elevation of the horizon [degrees] where a shade word puts trees. Judged: a 15 m stand 25 m away is at
31 degrees, above the December noon sun everywhere north of 36 N."""


def horizon_of_word(shade: str) -> tuple[float, ...]:
    """Horizon elevations [degrees] of the 16 directions, N first and clockwise, behind a shade word."""
    return tuple(float(SHADE[shade].get(direction, 0.0)) for direction in DIRECTIONS)


def horizon_of_measures(measured: Mapping[str, float]) -> tuple[float, ...]:
    """Horizon elevations [degrees] of the 16 directions from the ones a person gave.

    A direction not named takes the mean of its two neighbours when both are named, else 0 (open).

    Args:
        measured [degrees]: elevation by direction name.
    """
    count = len(DIRECTIONS)
    heights = []
    for i, direction in enumerate(DIRECTIONS):
        sides = [measured.get(DIRECTIONS[(i + step) % count]) for step in (-1, 1)]
        if direction in measured:
            heights.append(float(measured[direction]))
        elif all(side is not None for side in sides):
            heights.append(sum(float(side) for side in sides if side is not None) / 2)
        else:
            heights.append(0.0)
    return tuple(heights)
