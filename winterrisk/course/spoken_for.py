"""Which zones a row of the book holds for: its own, every zone of its area, or the whole course."""

from typing import Final

import numpy as np
import pandas as pd

EVERYWHERE: Final = "all"
"""Zone label of a row that holds for the whole course; a row for a whole area has the area's name."""


def speaks_for(rows: pd.DataFrame, zone: str) -> pd.Series:
    """Whether each row (row) holds for a zone.

    Args:
        rows: of a table with `zone` and `area`. zone: label, "4 low".
    """
    areas = rows["area"]
    of_area = np.array([zone.startswith(f"{area} ") for area in areas], dtype=bool)
    return (rows["zone"] == zone) | (rows["zone"] == EVERYWHERE) | ((rows["zone"] == areas) & of_area)
