"""Whether somebody answered: an `ack`, a decision, or a note from a zone that was called."""

from collections.abc import Collection

import numpy as np
import pandas as pd

from winterrisk.book import Record
from winterrisk.course import speaks_for


def answered(record: Record, zones: Collection[str], since: np.datetime64, now: np.datetime64) -> bool:
    """True when, after `since` and up to `now` (UTC, by when it was noted), the book got an answer.

    A decision of any kind answers (`ack` is one), as does an observation or plug from one of the zones.
    """
    if _known_between(record.decisions, since, now).any():
        return True
    return any(looked_at(record, zone, since, now) for zone in zones)


def looked_at(record: Record, zone: str, since: np.datetime64, now: np.datetime64) -> bool:
    """True when an observation or plug that holds for the zone was noted after `since` and up to `now` (UTC)."""
    return any(
        (_known_between(table, since, now) & speaks_for(table, zone)).any()
        for table in (record.observations, record.plugs)
    )


def _known_between(table: pd.DataFrame, since: np.datetime64, now: np.datetime64) -> pd.Series:
    known = pd.to_datetime(table["known"])
    return (known > pd.Timestamp(since)) & (known <= pd.Timestamp(now))
