"""What the weather must know of the place it is for."""

from typing import Protocol


class Place(Protocol):
    """Where the course lies: `winterrisk.course.Place`, or anything with these five."""

    @property
    def latitude(self) -> float:
        """[degrees north]."""

    @property
    def longitude(self) -> float:
        """[degrees east]."""

    @property
    def elevation(self) -> float:
        """[m]."""

    @property
    def timezone(self) -> str:
        """IANA name."""

    @property
    def near_water(self) -> bool:
        """Its air comes off a sea or a large lake close by."""
