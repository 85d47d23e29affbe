"""The book refuses: something in it, or meant for it, cannot be used."""

from winterrisk.science.faults import Refused


class BookError(Refused):
    """A book file that cannot be used, or a row that cannot be right; nothing was written."""
