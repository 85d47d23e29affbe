"""Rows that act on the chance."""

from winterrisk.thresholds.row import Row

CHANCE_ROWS: tuple[Row, ...] = ()
