"""Thresholds: the one table of parameters and the values a course holds.

| file | holds |
|---|---|
| row | Row: value, range, source, where it acts |
| column_rows, dose_rows, chance_rows, plug_rows, recovery_rows | the rows |
| table | all rows by key |
| thresholds | Thresholds value and its draws |
| read_thresholds | the adopted version of a course folder |
"""

from winterrisk.thresholds.row import Row
from winterrisk.thresholds.species import LABELS, REFERENCE_ONLY, SPECIES
from winterrisk.thresholds.table import LEARNED, TABLE
from winterrisk.thresholds.thresholds import Draws, Thresholds, ThresholdsError

__all__ = [
    "LABELS",
    "LEARNED",
    "REFERENCE_ONLY",
    "SPECIES",
    "TABLE",
    "Draws",
    "Row",
    "Thresholds",
    "ThresholdsError",
]
