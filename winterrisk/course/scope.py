"""What the tool covers, in the one sentence every refusal of this kind uses."""

from typing import Final

SCOPE: Final = (
    "winterrisk covers cool-season putting greens north of the equator, outside the tropics;"
    " warm-season grass and southern latitudes are not covered"
)

TROPIC: Final = 23.5
"""Latitude of the northern tropic, degrees."""

WARM_SEASON: Final = (
    "bermuda", "cynodon", "tifdwarf", "tifeagle", "miniverde", "ultradwarf",
    "zoysia", "manila",
    "paspalum", "bahia",
    "staugustine", "saintaugustine", "stenotaphrum",
    "kikuyu", "pennisetum",
    "buffalo", "bouteloua",
    "centipede", "eremochloa",
    "carpet", "axonopus",
    "seashorepaspalum", "augustine",
)  # fmt: skip
"""Word stems of warm-season grasses, folded as in `grasses.folded`."""


def latitude_is_covered(latitude: float) -> bool:
    """True where a course at this latitude [degrees north] is in scope."""
    return latitude >= TROPIC
