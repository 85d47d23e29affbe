"""Snow that fell, told by a rising snow depth where the gauge says nothing."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.new_snow import new_snow_density
from winterrisk.weather.checks.series import finest_step
from winterrisk.weather.day_ends import day_ends_of
from winterrisk.weather.local_days import MIDNIGHT

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

BLOCK: Final = 6
"""Hours over which a rise of the snow depth is looked for [h]: shorter and the sensor's jitter counts as snow,
longer and settling hides it (both snow sites at hand)."""
LEAST_RISE: Final = 0.01
"""Rise that counts as new snow [m]: the step of a depth sensor. With it an alpine winter's 497 mm of snow came
back as 495, and a boreal one's as 202 where its gauge, without a correction for wind, had caught 187."""
COARSEST_STEP: Final = 0.0125
"""Coarsest step of a depth that can say that nothing fell [m]: a depth in whole inches cannot."""
SLACK: Final = 1e-6


@dataclass(frozen=True)
class Rises:
    """What the snow depth says of each step's block: its water [kg m-2], shared out over the block's steps by
    when the depth rose; whether it says anything; and whether it says that nothing fell."""

    water: Array
    told: Flags
    nothing: Flags


def rises(raw: xr.Dataset, temperature: Array) -> Rises:
    """New snow (time) by the snow depth of a record.

    Args:
        raw (time): hourly or daily; temperature (time) [degC]: of each step.
    """
    count = raw.sizes["time"]
    silent = np.zeros(count, dtype=bool)
    if "snow_depth" not in raw or not np.isfinite(raw["snow_depth"].to_numpy()).any():
        return Rises(np.zeros(count), silent, silent)
    depth = np.asarray(raw["snow_depth"].to_numpy(), dtype=np.float64)
    daily = raw.attrs.get("step") == "daily"
    before, after, block = _ends_of_days(depth, day_ends_of(raw)) if daily else _ends_of_blocks(depth)
    rise = after - before
    told = np.isfinite(rise)
    up = told & (rise >= LEAST_RISE - SLACK)
    bulb = temperature - (temperature - np.minimum(_column(raw, "dew_point", np.nan), temperature)) / 3.0
    bulb = np.where(np.isfinite(bulb), bulb, temperature)
    density = _mean_of(np.nan_to_num(new_snow_density(bulb), nan=100.0), block)
    step = np.maximum(np.diff(depth, prepend=depth[:1]), 0.0) if not daily else np.ones(count)
    step = np.nan_to_num(step)
    weight = step + SLACK
    share = weight / np.bincount(block, weight)[block]
    fine = finest_step(depth) <= COARSEST_STEP
    water = np.where(up, np.where(up, rise, 0.0) * density * share, 0.0)
    return Rises(water, told & (up | fine), told & ~up & fine)


def _ends_of_blocks(depth: Array) -> tuple[Array, Array, NDArray[np.int64]]:
    """Depth at the beginning and end of each hour's block, from the middle of three hours; the block."""
    padded = np.concatenate([depth[:1], depth, depth[-1:]])
    three = np.stack([padded[:-2], padded[1:-1], padded[2:]])
    middle = np.where(np.isfinite(depth), _median_of_known(three), np.nan)
    block = np.arange(len(depth)) // BLOCK
    last = np.minimum((block + 1) * BLOCK - 1, len(depth) - 1)
    first = block * BLOCK - 1
    before = np.where(first >= 0, middle[np.maximum(first, 0)], middle[0])
    return before, middle[last], block


def _median_of_known(three: Array) -> Array:
    out = np.full(three.shape[1], np.nan)
    some = np.isfinite(three).any(axis=0)
    out[some] = np.nanmedian(three[:, some], axis=0)
    return out


def _ends_of_days(depth: Array, ends: int) -> tuple[Array, Array, NDArray[np.int64]]:
    """Depth at the beginning and end of each day: read in the morning, so a calendar day ends with the next
    row's."""
    days = np.arange(len(depth))
    if ends == MIDNIGHT:
        return depth, np.append(depth[1:], np.nan), days
    return np.append(np.nan, depth[:-1]), depth, days


def _mean_of(values: Array, block: NDArray[np.int64]) -> Array:
    return np.asarray((np.bincount(block, values) / np.bincount(block))[block])


def _column(raw: xr.Dataset, name: str, otherwise: float) -> Array:
    if name not in raw:
        return np.full(raw.sizes["time"], otherwise)
    values = np.asarray(raw[name].to_numpy(), dtype=np.float64)
    return np.where(np.isfinite(values), values, otherwise)
