"""A record against a second source of the same weather."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import (
    DIGITS,
    TEMPERATURES,
    Array,
    Flags,
    Series,
    is_daily,
    series,
)
from winterrisk.weather.checks.telling import Telling, named
from winterrisk.weather.gaps import runs

RESIDUAL: Final = 8.0
"""Residual of the regression on the neighbour that may be wrong [K] (Durre et al. 2010)."""
STANDARDISED: Final = 4.0
"""The same in standard deviations of the residuals (Durre et al. 2010)."""
ALIKE: Final = 0.8
"""Least correlation with a neighbour that may judge (Durre et al. 2010)."""
FEWEST: Final = {"hour": 240, "day": 40}
"""Common values of a calendar month without which nothing is said (judged; the source has 40 days)."""
AGREES: Final = 5.0
"""Difference within which a second source confirms a value [K] (judged)."""


def second_on(raw: xr.Dataset, second: xr.Dataset | None, timezone: str) -> xr.Dataset | None:
    """A second source on the record's own times: as it is, or hourly values as local daily extremes; None
    where it cannot be compared (days for a record of hours)."""
    if second is None:
        return None
    if is_daily(raw) == is_daily(second):
        return second.reindex(time=raw["time"])
    air = series(second, "air_temperature")
    if not is_daily(raw) or air is None:
        return None
    local = pd.DatetimeIndex(air.times).tz_localize("UTC").tz_convert(timezone).tz_localize(None)
    groups = pd.Series(air.values, index=local.floor("D")).groupby(level=0)
    whole = groups.count() >= 20
    days = pd.DatetimeIndex(raw["time"].to_numpy())
    data = {
        "air_temperature_max": ("time", groups.max().where(whole).reindex(days).to_numpy(np.float64)),
        "air_temperature_min": ("time", groups.min().where(whole).reindex(days).to_numpy(np.float64)),
    }
    return xr.Dataset(data, coords={"time": raw["time"]}, attrs={**second.attrs, "step": "daily"})


def far_from_second(raw: xr.Dataset, second: xr.Dataset) -> pd.DataFrame:
    """Temperatures 8 K and four standard deviations from what the second source makes expect: suspect.

    Expected is a linear regression by calendar month. Suspect only: on clear nights a valley station lies far
    below its neighbours, and which of two sources is right two sources cannot tell.

    Args:
        raw (time); second (time): on the same times (see `second_on`).
    Reference: Durre et al. (2010), spatial regression, with one neighbour.
    """
    tell, found = Telling.of(raw), []
    other_name = str(second.attrs.get("station") or "the second source")
    for name in TEMPERATURES:
        one, other = series(raw, name), series(second, name)
        if one is None or other is None:
            continue
        expected, spread = _expected(one, other.values)
        with np.errstate(invalid="ignore"):
            residual = one.values - expected
            flag = (np.abs(residual) >= RESIDUAL - DIGITS) & (np.abs(residual) >= STANDARDISED * spread)
        for first, length in runs(flag):
            at = first + int(np.argmax(np.abs(residual[first : first + length])))
            value, until = float(one.values[at]), one.until(first + length - 1)
            way = "above" if residual[at] > 0 else "below"
            text = (
                f"{named(name)} {tell.value(name, value)}, {tell.measure(abs(residual[at]), 'K')} {way} what "
                f"{other_name} makes expect; kept"
            )
            words = tell.sentence(one.times[first], until, text, "find out which of the two is right")
            found.append(
                Found(name, one.times[first], until, value, RESIDUAL, "suspect", "far_from_second", words)
            )
    return rows(found)


def _expected(one: Series, other: Array) -> tuple[Array, Array]:
    """Value expected from the second source and the spread of the residuals (time), NaN where no judge."""
    month = one.times.astype("datetime64[M]").astype(np.int64) % 12
    fewest = FEWEST["day" if one.daily else "hour"]
    expected, spread = np.full(len(month), np.nan), np.full(len(month), np.nan)
    both = np.isfinite(one.values) & np.isfinite(other)
    for m in range(12):
        here = month == m
        line = _line(other[here & both], one.values[here & both], fewest)
        if line is not None:
            slope, level, sd = line
            expected[here], spread[here] = level + slope * other[here], sd
    return expected, spread


def _line(x: Array, y: Array, fewest: int) -> tuple[float, float, float] | None:
    """Slope, level and residual spread of y on x, values four spreads away left out of a second pass."""
    if len(x) < fewest or np.std(x) < DIGITS or np.std(y) < DIGITS:
        return None
    slope = level = sd = 0.0
    used: NDArray[np.bool_] = np.ones(len(x), dtype=bool)
    for _ in range(3):
        slope, level = np.polyfit(x[used], y[used], 1)
        residual = y - level - slope * x
        sd = float(np.std(residual[used]))
        used = np.abs(residual) <= max(3.0 * sd, DIGITS)
    if np.corrcoef(x[used], y[used])[0, 1] < ALIKE:
        return None
    return float(slope), float(level), sd


def agreement(raw: xr.Dataset, second: xr.Dataset | None, name: str) -> Flags:
    """Whether the second source, on the same times, lies within 5 K of the record (time); False where it has no
    value."""
    one, other = series(raw, name), None if second is None else series(second, name)
    if one is None or other is None:
        return np.zeros(raw.sizes["time"], dtype=bool)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(other.values - one.values) < AGREES)
