"""Rows that act on the plug."""

from winterrisk.thresholds.row import Row

PLUG_ROWS: tuple[Row, ...] = ()
