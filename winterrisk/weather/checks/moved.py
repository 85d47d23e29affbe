"""A station that moved: what its record says, and what its description says."""

from collections.abc import Mapping
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import ALL, Found, rows
from winterrisk.weather.checks.series import HOUR, TEMPERATURES, Array, series
from winterrisk.weather.checks.telling import Telling, named

FEWEST_MONTHS: Final = 6
"""Months on either side of a move (judged)."""
FEWEST_STEPS: Final = 0.5
"""Share of a month's values that make a monthly mean (judged)."""
SHIFT: Final = {"pressure": 2.0, "second": 1.0, "alone": 4.0}
"""Least shift that is told: of pressure [hPa] (17 m of height), of temperature against the second source [K], and
of temperature alone, against other years [K] (judged)."""
STANDARDISED: Final = {"pressure": 2.5, "second": 3.0, "alone": 3.0}
"""Least shift in standard deviations of the months about their two levels (judged)."""
DESCRIBED: Final = {
    "latitude": (0.01, "degrees"), "longitude": (0.01, "degrees"), "elevation": (5.0, "m"),
    "height_temperature": (0.05, "m"), "height_wind": (0.05, "m"),
}  # fmt: skip
"""What describes where a station stands, and the change that counts (judged)."""


def level_shift(raw: xr.Dataset, second: xr.Dataset | None = None) -> pd.DataFrame:
    """A lasting change of level in the monthly means: a note that the station or its sensor seems to have moved.

    Air pressure shows a move up or down best; temperature is compared with the second source where there is
    one, and only against other years where there is none (then 4 K are asked for). At least six months on
    either side.

    Args:
        raw (time); second (time): on the same times, or None.
    Reference: after Alexandersson (1986), standard normal homogeneity test, from memory; limits judged.
    """
    tell, found = Telling.of(raw), []
    for name, kind, values, unit in _compared(raw, second):
        month, mean = _monthly(raw["time"].to_numpy(), values, yearly=kind != "second")
        shift = _largest_shift(mean)
        if shift is None:
            continue
        at, size, standardised = shift
        if abs(size) < SHIFT[kind] or standardised < STANDARDISED[kind]:
            continue
        time = (np.datetime64(0, "M") + int(month[at])).astype("datetime64[ns]")
        until = raw["time"].to_numpy()[-1] + HOUR
        against = " against the second source" if kind == "second" else ""
        way = "higher" if size > 0 else "lower"
        text = f"{named(name)} is {tell.measure(abs(size), unit)} {way}{against} from about here on; kept"
        move = "if the station or its sensor was moved, start a new station file from that day"
        words = tell.sentence(time, until, text, move)
        found.append(Found(name, time, until, round(size, 3), SHIFT[kind], "note", "level_shift", words))
    return rows(found)


def description_changed(
    before: Mapping[str, object], after: Mapping[str, object], time: np.datetime64
) -> pd.DataFrame:
    """A note for each part of a station's description that is no longer what it was: place, heights, name.

    Args:
        before, after: attributes of the record as received earlier and now; time: UTC, of the first value
            under the new description.
    """
    tell, found = Telling.of(xr.Dataset(attrs=dict(after))), []
    for key in ("station", *DESCRIBED):
        old, new = before.get(key), after.get(key)
        if old is None or new is None or old == new:
            continue
        size = np.nan
        if key in DESCRIBED:
            least, unit = DESCRIBED[key]
            size = float(str(new)) - float(str(old))
            if abs(size) < least:
                continue
            change = f"{key.replace('_', ' ')} {float(str(old)):g} before and {float(str(new)):g} {unit} now"
        else:
            change = f"the name was {old!r} before"
        text = f"the station seems to have moved: {change}"
        move = "if it did, start a new station file from that day"
        words = tell.sentence(time, time + HOUR, text, move)
        found.append(Found(ALL, time, time + HOUR, size, np.nan, "note", "description_changed", words))
    return rows(found)


def _compared(raw: xr.Dataset, second: xr.Dataset | None) -> list[tuple[str, str, Array, str]]:
    compared = []
    pressure = series(raw, "surface_pressure")
    if pressure is not None:
        compared.append((pressure.name, "pressure", pressure.values, "hPa"))
    for name in TEMPERATURES:
        one = series(raw, name)
        if one is None:
            continue
        other = None if second is None else series(second, name)
        if other is None:
            compared.append((name, "alone", one.values, "K"))
        else:
            compared.append((name, "second", one.values - other.values, "K"))
    return compared


def _monthly(times: np.ndarray, values: Array, *, yearly: bool) -> tuple[np.ndarray, Array]:
    """Months and the mean of each that is known well enough; with `yearly` less the calendar month's mean."""
    month = times.astype("datetime64[M]").astype(np.int64)
    at, known = month - month[0], np.isfinite(values)
    size = int(at[-1]) + 1
    count, whole = np.bincount(at[known], minlength=size), np.bincount(at, minlength=size)
    total = np.bincount(at[known], values[known], minlength=size)
    used = np.flatnonzero(count >= FEWEST_STEPS * np.maximum(whole, 1))
    mean = total[used] / count[used]
    if yearly:
        of_year = (used + month[0]) % 12
        level = np.bincount(of_year, mean, 12) / np.maximum(np.bincount(of_year, minlength=12), 1)
        often = np.bincount(of_year, minlength=12)[of_year] >= 2
        used, mean = used[often], (mean - level[of_year])[often]
    return used + month[0], mean


def _largest_shift(mean: Array) -> tuple[int, float, float] | None:
    """Position, size and standardised size of the split into two levels that leaves least unexplained."""
    n = len(mean)
    if n < 2 * FEWEST_MONTHS:
        return None
    before = np.arange(FEWEST_MONTHS, n - FEWEST_MONTHS + 1)
    sums = np.concatenate([[0.0], np.cumsum(mean)])
    left = sums[before] / before
    right = (sums[-1] - sums[before]) / (n - before)
    gain = before * (n - before) / n * (right - left) ** 2
    best = int(np.argmax(gain))
    at, size = int(before[best]), float(right[best] - left[best])
    rest = np.concatenate([mean[:at] - left[best], mean[at:] - right[best]])
    return at, size, abs(size) / max(float(np.std(rest)), 1e-9)
