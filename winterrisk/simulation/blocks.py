"""Winters that never were, from pieces of winters that were."""

from collections.abc import Sequence
from typing import Final

import numpy as np
import xarray as xr

from winterrisk.science.keyed import KeyPart, generator

HOUR: Final = np.timedelta64(1, "h")
SHORTEST, LONGEST = 15, 30
"""Days of one piece (long enough to keep a spell whole, short enough to make new winters)."""
LENGTH: Final = 288
"""Days from 1 August to the middle of May."""
NOMINAL: Final = 2001
"""Year in whose August a winter of pieces begins; no leap day falls into it."""


def pieces(key: tuple[KeyPart, ...], winters: int, days: int = LENGTH) -> list[tuple[int, int, int]]:
    """Source winter, first day and end of each piece, in order: 15 to 30 days, each from a winter drawn anew."""
    rng = generator(*key, "pieces")
    found, day = [], 0
    while day < days:
        length = int(rng.integers(SHORTEST, LONGEST + 1))
        end = days if days - day - length < SHORTEST else day + length
        found.append((int(rng.integers(winters)), day, end))
        day = end
    return found


def rejoined(record: xr.Dataset, begins: Sequence[np.datetime64], key: tuple[KeyPart, ...]) -> xr.Dataset:
    """Weather (time) of a winter of pieces: each piece stands at its own time of year.

    Args:
        record (time): whole winters, hourly, complete. begins: UTC of each winter's first hour, 1 August.
    """
    times = record["time"].to_numpy()
    first = [int((np.datetime64(b) - times[0]) / HOUR) for b in begins]
    rows = np.concatenate([np.arange(24 * a, 24 * b) + first[w] for w, a, b in pieces(key, len(begins))])
    start = np.datetime64(f"{NOMINAL}-08-01T00", "ns") + (
        np.datetime64(begins[0]) - np.datetime64(begins[0]).astype("datetime64[D]")
    )
    joined = record.isel(time=rows)
    return joined.assign_coords(time=start + np.arange(len(rows)) * HOUR)


def at_nominal(record: xr.Dataset, begin: np.datetime64) -> xr.Dataset:
    """One winter of the record, moved to the nominal year."""
    times = record["time"].to_numpy()
    first = int((np.datetime64(begin) - times[0]) / HOUR)
    start = np.datetime64(f"{NOMINAL}-08-01T00", "ns") + (
        np.datetime64(begin) - np.datetime64(begin).astype("datetime64[D]")
    )
    rows = np.arange(first, first + 24 * LENGTH)
    return record.isel(time=rows).assign_coords(time=start + np.arange(len(rows)) * HOUR)
