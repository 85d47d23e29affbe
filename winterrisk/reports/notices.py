"""What a night has to say beside its calls: corrections, conflicts, refused notes, turf, what is judged."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.reports.notices_seen import Notice, conflicts, corrected
from winterrisk.reports.notices_turf import drying, guards, hardening, judged_only

IN_THE_MESSAGE = (
    "cover_danger",
    "refused",
    "conflict",
    "corrected",
    "cover",
    "spring_guard",
    "drying",
    "hardening",
    "weather",
)
"""Kinds that go into the message, the most pressing first; the page has all."""


def night_notices(
    *,
    on: np.datetime64,
    now: np.datetime64,
    winter_days: xr.Dataset,
    harm: xr.Dataset,
    events: Mapping[str, pd.DataFrame],
    before: Mapping[str, Any] | None,
    values: Mapping[str, float],
    units: str = "metric",
    refused: Sequence[str] = (),
    weather: Sequence[str] = (),
    covers: Sequence[Notice] = (),
) -> list[Notice]:
    """Notices of one night as rows kind, zone (empty for several), text; the most pressing first.

    Args:
        on: the date; now: UTC instant of the night. events: zone -> what was seen and done by then.
        before: the record of the last night. values: of the table of thresholds.
        units: of the reader. refused: lines of notes that were not understood.
        weather: what the checks of the weather found, one line each. covers: of `cover_notices`.
    """
    found = [
        *covers,
        *({"kind": "refused", "zone": "", "text": line} for line in refused),
        *conflicts(events, now, units),
        *corrected(events, before, now, units),
        *guards(winter_days, harm, on),
        *drying(harm, on, values),
        *hardening(winter_days, harm, on),
        *({"kind": "weather", "zone": "", "text": line} for line in weather),
    ]
    return sorted(found, key=lambda row: IN_THE_MESSAGE.index(row["kind"]))


def with_judged(notices: Sequence[Notice], calls: Sequence[dict[str, Any]]) -> list[Notice]:
    """The notices, and the mark on calls that rest on relations nobody has published."""
    return [*notices, *judged_only(calls)]
