"""Members: the possible winters of a course, as ground draws crossed with weather paths."""

from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart
from winterrisk.thresholds import Draws, Thresholds

Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Members:
    """One row a member (m): its column and dose draws, its weather path, its weight and gap group.

    path: index of the member's weather; gap_group: which way the gaps in the weather were filled.
    """

    column: Draws
    traits: Draws
    path: Whole
    weight: NDArray[np.float64]
    gap_group: Whole

    @property
    def count(self) -> int:
        """Number of members."""
        return len(self.path)


def members(weather: xr.Dataset, n_ground: int, key: tuple[KeyPart, ...], thresholds: Thresholds) -> Members:
    """Ground draws crossed with the weather paths; every way of filling gaps has the same draws.

    Args:
        weather (time, member): of `weather.possible`, with coordinates path, gap_group and path_weight.
        n_ground: draws of the column's parameters.
        key: of the course and winter, never of the night.
    """
    base = np.asarray(weather["path"], dtype=np.int64)
    n_path, n_base = len(base), int(base.max()) + 1
    ground = np.repeat(np.arange(n_ground), n_path)
    path = np.tile(np.arange(n_path), n_ground)
    column = thresholds.draw(n_ground, (*key, "ground"), "column")
    dose = thresholds.draw(n_ground * n_base, (*key, "dose"), "dose")
    dose_row = ground * n_base + base[path]
    return Members(
        column={name: values[ground] for name, values in column.items()},
        traits={name: values[dose_row] for name, values in dose.items()},
        path=path,
        weight=np.asarray(weather["path_weight"], dtype=np.float64)[path] / n_ground,
        gap_group=np.asarray(weather["gap_group"], dtype=np.int64)[path],
    )
