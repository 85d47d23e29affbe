"""Gaps of a station's record filled from other records, after their bias is taken off."""

from collections.abc import Sequence
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart
from winterrisk.weather.bias import bias_of
from winterrisk.weather.checks.rows import joined, rows
from winterrisk.weather.complete import SPREAD_ATTRS
from winterrisk.weather.gaps import SHORT_WATER_GAP, runs
from winterrisk.weather.place import Place
from winterrisk.weather.second_source_hours import Source, on_one_axis
from winterrisk.weather.second_source_rows import rows_of_filled
from winterrisk.weather.second_source_temperature import WARMTH, fill_from, unbiased
from winterrisk.weather.variables import FILLED, MEASURED, VARIABLES

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

SPREAD: Final = "air_temperature_sd"
WATER: Final = "precipitation"
LEAST_RATIO, LARGEST_RATIO = 0.5, 2.0
"""Between which two records' long-term sums of water may differ before the ratio is no longer believed [1]."""
ENOUGH_WATER: Final = 20.0
"""Water both records must have caught in the same hours for their ratio to mean something [kg m-2] (judged)."""
PHASE: Final = ("snow_fraction", "freezing_rain")
"""Told of the water of the hour: taken with it, as it is, never averaged."""
SHIFTED: Final = ("dew_point", "surface_pressure")
"""Filled less the bias of hour and season."""
SCALED: Final = ("wind_speed",)
AS_IT_IS: Final = ("shortwave_down", "longwave_down", "cloud_cover", "diffuse_fraction")
COMMON_HOURS: Final = 240
"""Hours that both must have for a ratio of wind, or a pressure at another height, to be believed [h] (judged)."""


def with_second(
    first: xr.Dataset, seconds: Sequence[xr.Dataset], place: Place, key: Key | KeyPart = ("second source",)
) -> tuple[xr.Dataset, pd.DataFrame]:
    """The first record with gaps filled from the others, and a row for each stretch that was.

    Temperature: bias by hour and season off, several sources blended, drawn to both ends of a gap; a gap that
    its own ends bridge more surely stays open. Water: the first source that has the hour, scaled by the
    ratio of long-term sums between 0.5 and 2; rain or snow as that source says, never averaged. Hours filled
    have the origin "other station" or "model analysis", temperatures their standard deviation in
    air_temperature_sd; the hours go on to the last that any source knows.

    Args:
        first, seconds (time): raw records, hourly or daily, cut to what was known; attrs station, height_wind,
            elevation [m] (of a second, where its height is known).
        place: of the course; key: of `complete`, so that a daily record keeps its hours of rain.
    Returns:
        raw Dataset(time), hourly; findings with verdict "note".
    Reference: Henn et al. (2013), J. Hydrometeorol. 14, and Lompar et al. (2019): a debiased second source for
        all but the shortest gaps.
    """
    if not seconds:
        return first, rows()
    parts = key if isinstance(key, tuple) else (key,)
    raw, sources = on_one_axis(first, seconds, place, parts)
    times = raw["time"].to_numpy()
    raw, told = _with_warmth(raw, times, sources)
    tables = [told]
    for fill in (_with_water, _with_others):
        raw, told = fill(raw, times, sources)
        tables.append(told)
    return raw, joined(tables)


def _known(raw: xr.Dataset, name: str) -> Array:
    if name not in raw:
        return np.full(raw.sizes["time"], np.nan)
    return np.array(raw[name].to_numpy(), dtype=np.float64)


def _put(
    raw: xr.Dataset, name: str, values: Array, taken: NDArray[np.bool_], code: NDArray[np.int8]
) -> xr.Dataset:
    """The record with values at the hours `taken`, and their origin."""
    known = np.isfinite(_known(raw, name))
    here = raw[f"{name}_origin"].to_numpy() if f"{name}_origin" in raw else MEASURED
    origin = np.where(taken, code, np.where(known, here, FILLED)).astype(np.int8)
    mixed = np.where(taken, values, _known(raw, name))
    return raw.assign({name: ("time", mixed, VARIABLES[name].attrs), f"{name}_origin": ("time", origin)})


def _with_warmth(
    raw: xr.Dataset, times: NDArray[np.datetime64], sources: Sequence[Source]
) -> tuple[xr.Dataset, pd.DataFrame]:
    able = [s for s in sources if s.has(WARMTH)]
    if not able:
        return raw, rows()
    first = _known(raw, WARMTH)
    second = unbiased(times, first, able)
    values, spread, taken = fill_from(times, first, second)
    if not taken.any():
        return raw, rows()
    before = np.nan_to_num(_known(raw, SPREAD))
    out = _put(raw, WARMTH, values, taken, second.origin)
    out = out.assign({SPREAD: ("time", np.where(taken, spread, before), SPREAD_ATTRS)})
    used = np.array([np.isfinite(s.values[WARMTH]) for s in able])
    biases = np.array([second.biases[s.name].value for s in able])
    bias = np.sum(np.where(used, biases, 0.0), axis=0) / np.maximum(used.sum(axis=0), 1)
    return out, rows_of_filled(raw, WARMTH, taken, able, bias=bias, spread=spread)


def _with_water(
    raw: xr.Dataset, times: NDArray[np.datetime64], sources: Sequence[Source]
) -> tuple[xr.Dataset, pd.DataFrame]:
    tables = []
    for source in (s for s in sources if s.has(WATER)):
        first, theirs = _known(raw, WATER), source.values[WATER]
        taken = ~np.isfinite(first) & np.isfinite(theirs)
        if not taken.any():
            continue
        ratio = water_ratio(first, theirs)
        raw = _put(raw, WATER, ratio * theirs, taken, source.origin[WATER])
        for name in PHASE:
            if source.has(name):
                factor = ratio if name == "freezing_rain" else 1.0
                said = taken & np.isfinite(source.values[name])
                raw = _put(raw, name, factor * source.values[name], said, source.origin[name])
        tables.append(rows_of_filled(raw, WATER, taken, [source], ratio=ratio))
    return raw, joined(tables)


def water_ratio(first: Array, second: Array) -> float:
    """Long-term water of the first record over that of the second [1] in the hours both have, within 0.5 to 2;
    1 where they share too little."""
    both = np.isfinite(first) & np.isfinite(second)
    ours, theirs = float(first[both].sum()), float(second[both].sum())
    if min(ours, theirs) < ENOUGH_WATER:
        return 1.0
    return float(np.clip(ours / theirs, LEAST_RATIO, LARGEST_RATIO))


def _with_others(
    raw: xr.Dataset, times: NDArray[np.datetime64], sources: Sequence[Source]
) -> tuple[xr.Dataset, pd.DataFrame]:
    tables = []
    for name in (*SHIFTED, *SCALED, *AS_IT_IS):
        for source in (s for s in sources if s.has(name)):
            first, theirs = _known(raw, name), source.values[name]
            if name == "dew_point" and "relative_humidity" in raw:
                humid = np.isfinite(_known(raw, "relative_humidity")) & np.isfinite(_known(raw, WARMTH))
                missing = ~np.isfinite(first) & ~humid
            else:
                missing = ~np.isfinite(first)
            taken = np.zeros(len(times), dtype=bool)
            for begin, length in runs(missing):
                if length > SHORT_WATER_GAP:
                    taken[begin : begin + length] = np.isfinite(theirs[begin : begin + length])
            fitted = _fitted(name, times, first, theirs)
            if fitted is None or not taken.any():
                continue
            raw = _put(raw, name, fitted, taken, source.origin[name])
            tables.append(rows_of_filled(raw, name, taken, [source]))
    return raw, joined(tables)


def _fitted(name: str, times: NDArray[np.datetime64], first: Array, theirs: Array) -> Array | None:
    """A second source's values in the terms of the first; None where that cannot be told."""
    both = np.isfinite(first) & np.isfinite(theirs)
    if name in SHIFTED:
        if name == "surface_pressure" and both.sum() < COMMON_HOURS:
            return None
        return theirs - bias_of(times, theirs - first).value
    if name in SCALED and both.sum() >= COMMON_HOURS and theirs[both].sum() > 0:
        return theirs * float(np.clip(first[both].sum() / theirs[both].sum(), LEAST_RATIO, LARGEST_RATIO))
    return theirs
