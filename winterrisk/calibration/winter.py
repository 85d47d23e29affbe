"""A past winter as calibration takes it: what the turf went through in each possible course of it."""

from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Winter:
    """One past winter, replayed from its weather and the book.

    name: "2024-25". harm: doses of `hazards.run` (species, day, zone, member). weight (member) [1]: prior
    weight of each member. gap_group (member): which filling of the gaps a member has. winter_days: of the
    column. share (zone, species) [1]: cover of each grass.
    """

    name: str
    harm: xr.Dataset
    weight: Array
    gap_group: NDArray[np.int64]
    winter_days: xr.Dataset
    share: xr.DataArray

    def __post_init__(self) -> None:
        members = self.harm.sizes["member"]
        if np.shape(self.weight) != (members,) or np.shape(self.gap_group) != (members,):
            raise ValueError(
                f"winter {self.name}: weight and gap_group need one number for each of {members} members"
            )
        if not np.sum(self.weight) > 0:
            raise ValueError(f"winter {self.name}: member weights add to nothing")

    @property
    def days(self) -> NDArray[np.datetime64]:
        """Local days of the replay (day)."""
        return np.asarray(self.harm["day"].to_numpy(), dtype="datetime64[D]")

    def cover(self, zone: str, species: str = "all") -> dict[str, float]:
        """Cover [1] of each grass of a zone, or of the one named; empty where it does not grow there."""
        there = self.share.sel(zone=zone)
        cover = {str(s): float(there.sel(species=s)) for s in self.harm["species"].to_numpy()}
        return {s: part for s, part in cover.items() if part > 0 and species in ("all", s)}
