"""What people saw and did, as events for the column of one zone."""

import numpy as np
import pandas as pd

from winterrisk.book.line_words import COVER_KINDS
from winterrisk.book.record import Record
from winterrisk.course import speaks_for

EVENT_COLUMNS = ("time", "until", "zone", "kind", "value", "unit", "share", "who", "known", "detail")
_COVERS = sorted(
    ((w, kind) for kind, words in COVER_KINDS.items() for w in words), key=lambda said: -len(said[0])
)
"""Words for a kind of cover, the longest first: "impermeable" before "permeable"."""
COUNTS_FOR_ZONE = 0.5
"""An observation that holds for less than this share of a zone does not set the zone's state."""


def _ice_over_plugs(record: Record, zone: str) -> pd.DataFrame:
    """A plug cut with its ice measured is also a look at the ice of that spot."""
    plugs = record.plugs
    cut = plugs[(plugs["zone"] == zone) & plugs["ice_mm"].notna()]
    if cut.empty:
        return cut
    iced = (cut["ice_mm"] > 0).to_numpy(dtype=bool)
    return pd.DataFrame(
        {
            "time": cut["cut"].to_numpy(),
            "until": np.full(len(cut), np.datetime64("NaT"), dtype="datetime64[s]"),
            "zone": zone,
            "kind": np.where(iced, "ice_seen", "no_ice"),
            "value": np.where(iced, cut["ice_mm"], np.nan),
            "unit": np.where(iced, "mm", ""),
            "share": 1.0,
            "who": cut["who"].to_numpy(),
            "known": cut["known"].to_numpy(),
            "detail": "plug",
        }
    )


def _kinds_of_covers(rows: pd.DataFrame, owned: str) -> pd.DataFrame:
    """Rows with the kind of each cover that is laid: as said, else as said of that zone before, else as owned.

    A second "cover on" without its kind is the same cover: it must not turn a sealed one into one that breathes.
    """
    laid = np.flatnonzero(rows["kind"] == "cover_on")
    if not len(laid):
        return rows
    details = rows["detail"].fillna("").astype(str).tolist()
    last = "" if owned == "none" else owned
    for at in laid:
        last = details[at] = next((kind for words, kind in _COVERS if words in details[at].lower()), last)
    return rows.assign(detail=details)


def events(record: Record, zone: str, until: np.datetime64 | None = None, *, owned: str = "") -> pd.DataFrame:
    """Events of a zone before `until` (UTC), in order of time, values in the book's units.

    Rows for the whole area or the whole course hold for the zone too; rows that hold for less than half of
    it are left out. Ice measured over a plug counts as ice seen.

    Args:
        record: the book as known that night. zone: label, "4 low". owned: kind of cover the course owns, for those
            whose kind nobody noted.
    Returns:
        Columns time, until, zone, kind, value, unit, share, who, known, detail; times UTC.
    """
    seen = record.observations
    rows = seen[speaks_for(seen, zone) & (seen["share"].fillna(1.0) >= COUNTS_FOR_ZONE)].assign(zone=zone)
    parts = [part for part in (rows[list(EVENT_COLUMNS)], _ice_over_plugs(record, zone)) if len(part)]
    together = pd.concat(parts, ignore_index=True) if parts else rows[list(EVENT_COLUMNS)]
    if until is not None:
        together = together[together["time"] < pd.Timestamp(until)]
    return _kinds_of_covers(together.sort_values("time", kind="stable").reset_index(drop=True), owned)
