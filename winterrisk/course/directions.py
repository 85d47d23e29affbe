"""The sixteen directions of the compass, clockwise from north."""

from typing import Final, Literal, get_args

Direction = Literal[
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
]  # fmt: skip
DIRECTIONS: Final[tuple[str, ...]] = get_args(Direction)


def azimuth(direction: str) -> float:
    """Azimuth of a direction, degrees clockwise from north."""
    return DIRECTIONS.index(direction) * 360.0 / len(DIRECTIONS)
