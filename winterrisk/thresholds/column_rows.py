"""Rows that act on the column."""

from winterrisk.thresholds.row import Row

COLUMN_ROWS: tuple[Row, ...] = ()
