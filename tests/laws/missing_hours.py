"""Hours deleted from a record at random and in blocks, and what a night then says beside the night that had them."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np
import xarray as xr

from winterrisk.backcast import backcast_nights
from winterrisk.nightly import Night, Work
from winterrisk.science.keyed import generator

Kind = Literal["random", "blocks"]
LONGEST_BLOCK = 10
"""Days of the longest block that is deleted; blocks are 1 to 10 days long."""
COUNTS = 0.02
"""Dead share from which a zone-night counts [1]."""


def thinned(raw: xr.Dataset, share: float, kind: Kind, key: str) -> xr.Dataset:
    """The record (time) with a share [1] of its rows empty, keyed so that a larger share empties the same and more."""
    size = raw.sizes["time"]
    rng = generator("deleted", key, kind)
    gone = np.zeros(size, dtype=bool)
    if kind == "random":
        gone = rng.random(size) < share
    else:
        day = 1 if raw.attrs.get("step") == "daily" else 24
        while gone.mean() < share:
            begin = int(rng.integers(size))
            gone[begin : begin + day * int(rng.integers(1, LONGEST_BLOCK + 1))] = True
    kept = xr.DataArray(~gone, dims="time")
    return raw.map(lambda column: column.where(kept)).assign_attrs(raw.attrs)


def without(work: Work, share: float, kind: Kind) -> Work:
    """The same course with hours deleted from its record."""
    raw = thinned(work.weather.as_known(), share, kind, work.course.id)
    return replace(work, weather=work.weather.with_record(raw))


@dataclass(frozen=True)
class Beside:
    """One zone on one night and day looked at, with all hours and with some deleted."""

    zone: str
    blind: bool
    mean: float
    low: float
    high: float
    gappy_low: float
    gappy_high: float
    chance_high: float
    gappy_chance_high: float

    @property
    def inside(self) -> bool:
        """Whether the mean of the full data lies in the range of the gappy ones."""
        return self.gappy_low <= self.mean <= self.gappy_high

    @property
    def widening(self) -> float:
        """Width of the gappy range over that of the full one [1]."""
        return (self.gappy_high - self.gappy_low) / max(self.high - self.low, 1e-9)


def beside(full: Night, gappy: Night) -> Iterator[Beside]:
    """Each zone tonight and on the last day the night speaks of."""
    blind = {row["zone"] for row in gappy.record["cannot_say"]}
    for day in full.outlook["day"].to_numpy()[[0, -1]]:
        for zone in full.outlook["zone"].to_numpy():
            a, b = (night.outlook.sel(day=day, zone=zone) for night in (full, gappy))
            yield Beside(
                str(zone),
                str(zone) in blind,
                *(float(a[n]) for n in ("dead_share", "dead_low", "dead_high")),
                *(float(b[n]) for n in ("dead_low", "dead_high")),
                *(float(n["chance_high"].sel(band="parts")) for n in (a, b)),
            )


def night_of(folder: Path, work: Work, on: object) -> Night:
    """One night on what was known by it, without the book."""
    return next(iter(backcast_nights(folder, work, [on], use_book=False)))


def shares(night: Night, count: int, key: str) -> Iterator[tuple[float, float, float]]:
    """True dead shares drawn from the pairs of a night's last day: (share, low, high) of the night itself."""
    rng = generator("truths", key, night.record["on"])
    last = night.outlook.isel(day=-1)
    precision = float(night.outlook.attrs["survey_precision"])
    for zone in last["zone"].to_numpy():
        there = last.sel(zone=zone)
        p, w = there["expected"].to_numpy().ravel(), there["weight"].to_numpy().ravel()
        chosen = np.clip(p[rng.choice(len(p), size=count, p=w / w.sum())], 1e-6, 1 - 1e-6)
        for share in rng.beta(chosen * precision, (1 - chosen) * precision):
            yield float(share), float(there["dead_low"]), float(there["dead_high"])
