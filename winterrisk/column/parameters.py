"""The parameter vector of one column: the rows of the table, then what the ground says."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.thresholds.column_rows import COLUMN_ROWS
from winterrisk.thresholds.row import Row

(
    SNOW_CATCH,
    WIND_LOSS,
    NEW_DENSITY,
    VISCOSITY,
    ALBEDO_FRESH,
    ALBEDO_OLD,
    ALBEDO_COLD,
    ALBEDO_WET,
    RETENTION,
    CALM,
    ROUGH_SNOW,
    ROUGH_TURF,
    LEAF_MOWN,
    LEAF_ROUGH,
    LEAF_CLEARING,
    LEAF_PRESSED,
    LEAF_SUN,
    GROUND_COOLER,
    MAT_CONDUCT,
    SOIL_CONDUCT,
    TURF_ALBEDO,
    FIELD_WATER,
    INFILTRATION,
    IMPEDANCE,
    STORAGE_FACTOR,
    RUNOFF_HOURS,
    CROWN_FREEZING,
    ICE_CLEAR,
    ICE_WHITE,
    EXTINCTION_CLEAR,
    EXTINCTION_WHITE,
    SEAL,
    GAP_OPEN,
    STORE_CONTACT,
    STORE_SOIL,
) = range(35)
(
    LEAF,
    SUN_BELOW,
    STORAGE,
    SLOPE,
    SNOW_GAIN,
    EXPOSED,
    HEIGHT_WIND,
    HEIGHT_AIR,
    FROM_GROUND,
    PATCH,
    SHELTER,
    GAUGE_WIND,
    IRRIGATED,
) = range(35, 48)
PARAMETERS = 48

NAMES = tuple(row.name for row in COLUMN_ROWS)


def parameter_vector(draws: Mapping[str, NDArray[np.float64]] | None, members: int) -> NDArray[np.float64]:
    """Parameters (member, PARAMETERS) with the table's values where `draws` has none; the ground's part is
    left 0.

    Args:
        draws: arrays (member) by row key; other keys are ignored.
        members: number of columns.
    Raises:
        ValueError: a draw that is no number, or not above 0 where its row is.
    """
    vector = np.zeros((members, PARAMETERS))
    for i, row in enumerate(COLUMN_ROWS):
        vector[:, i] = row.value if draws is None or row.key not in draws else _checked(row, draws[row.key])
    return vector


def _checked(row: Row, values: ArrayLike) -> NDArray[np.float64]:
    """Values of a row as they are: the compiled column divides by some and asks nothing."""
    x = np.asarray(values, dtype=np.float64)
    if not np.isfinite(x).all() or (row.low > 0.0 and not (x > 0.0).all()):
        above = " above 0" if row.low > 0.0 else ""
        raise ValueError(f"{row.key}: found {x}, expected numbers{above}")
    return x
