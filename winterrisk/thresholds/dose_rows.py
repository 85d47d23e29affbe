"""Rows that act on the dose."""

from winterrisk.thresholds.row import Row

DOSE_ROWS: tuple[Row, ...] = ()
