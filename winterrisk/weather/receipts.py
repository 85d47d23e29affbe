"""Deliveries of weather: when each was known, what it brought, and whether its station had moved."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd

IDENTITY: Final = ("station", "station_id", "latitude", "longitude", "elevation")
"""Attributes by which a station that was moved or changed is told."""
COLUMNS: Final = ("source", "known", "assumed", "set_back", "new", "changed", "attrs")


@dataclass(frozen=True)
class Receipt:
    """One delivery: when it was known (UTC), how many values were new or changed, with what attributes.

    assumed: nobody knows when its values were known; each is then taken as known 1 h after its interval.
    set_back: the clock stood before that of an earlier delivery. variables: all it had, new or not, and
    `<name>_origin` of those that told one.
    since: when the first of its values was known; that of the delivery unless assumed.
    """

    known: np.datetime64
    attrs: Mapping[str, Any]
    assumed: bool
    new: int
    changed: int
    set_back: bool = False
    variables: tuple[str, ...] = ()
    since: np.datetime64 | None = None

    def known_by(self, instant: np.datetime64 | None) -> bool:
        """Whether any of it was known at an instant (UTC; None: now)."""
        return instant is None or bool((self.known if self.since is None else self.since) <= instant)


def receipt_table(receipts: Iterable[tuple[str, Receipt]]) -> pd.DataFrame:
    """One row a delivery, in the order they came: source, known (UTC), assumed, set_back, new, changed, attrs.

    Args:
        receipts: name of the source and delivery.
    """
    found = [
        (source, r.known, r.assumed, r.set_back, r.new, r.changed, dict(r.attrs)) for source, r in receipts
    ]
    table = pd.DataFrame(found, columns=pd.Index(COLUMNS))
    return table.assign(known=table["known"].astype("datetime64[s]"))


def moved(receipts: pd.DataFrame) -> pd.DataFrame:
    """One row for each part of a station's name, number or place that a delivery changed.

    A delivery that does not say counts as unchanged.

    Args:
        receipts: as `receipt_table` gives them, of one source or several.
    Returns:
        source, known (UTC), what, before, after; in the order the deliveries came.
    """
    last: dict[tuple[str, str], Any] = {}
    found = []
    for source, known, attrs in zip(receipts["source"], receipts["known"], receipts["attrs"], strict=True):
        for what in IDENTITY:
            after = attrs.get(what)
            if after is None:
                continue
            before = last.get((source, what))
            if before is not None and before != after:
                found.append((source, known, what, before, after))
            last[source, what] = after
    table = pd.DataFrame(found, columns=pd.Index(("source", "known", "what", "before", "after")))
    return table.assign(known=table["known"].astype("datetime64[s]"))
