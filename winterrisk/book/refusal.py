"""The book refuses: something in it, or meant for it, cannot be used."""

from typing import Final

from winterrisk.science.faults import Fault, Refused

MOST_FAULTS: Final = 100
"""Faults told at once; a file with more is wrong in one way."""


class BookError(Refused):
    """A book file that cannot be used, or a row that cannot be right; nothing was written."""


def told(faults: list[Fault]) -> list[Fault]:
    """The faults, or the first hundred of them and how many more there are."""
    if len(faults) <= MOST_FAULTS:
        return faults
    more = Fault("and", f"{len(faults) - MOST_FAULTS} faults more", "", "correct these first")
    return [*faults[:MOST_FAULTS], more]
