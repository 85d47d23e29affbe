"""The one table of parameters: every row of the column, the doses, the chances, the plugs and recovery."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from winterrisk.thresholds.chance_rows import CHANCE_ROWS
from winterrisk.thresholds.column_rows import COLUMN_ROWS
from winterrisk.thresholds.dose_rows import DOSE_ROWS
from winterrisk.thresholds.plug_rows import PLUG_ROWS
from winterrisk.thresholds.recovery_rows import RECOVERY_ROWS
from winterrisk.thresholds.row import Row


def _table(*groups: tuple[Row, ...]) -> Mapping[str, Row]:
    rows: dict[str, Row] = {}
    for group in groups:
        for row in group:
            if row.key in rows:
                raise ValueError(f"the table names {row.key} twice")
            rows[row.key] = row
    return MappingProxyType(rows)


TABLE: Final = _table(COLUMN_ROWS, DOSE_ROWS, CHANCE_ROWS, PLUG_ROWS, RECOVERY_ROWS)
"""Key -> Row, in reading order."""

LEARNED: Final = tuple(key for key, row in TABLE.items() if row.learned)
"""Keys that plugs and surveys may move."""
