"""Which zones a row of the book holds for: its own, every zone of its area, or the whole course."""

from typing import Final

import pandas as pd

EVERYWHERE: Final = "all"
"""Zone label of a row that holds for the whole course; a row for a whole area has the area's name."""


def speaks_for(rows: pd.DataFrame, zone: str) -> pd.Series:
    """Whether each row (row) holds for a zone.

    Args:
        rows: of a table with `zone` and `area`. zone: label, "4 low".
    """
    said = zip(rows["zone"].tolist(), rows["area"].tolist(), strict=True)
    holds = [
        where in (zone, EVERYWHERE) or (where == area and zone.startswith(f"{area} ")) for where, area in said
    ]
    return pd.Series(holds, index=rows.index, dtype=bool)
