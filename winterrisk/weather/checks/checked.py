"""All checks of a record in their order, and the record without what was bad."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import ArrayLike

from winterrisk.weather.checks.amount_slips import precipitation_slips, wind_slips
from winterrisk.weather.checks.clock import clock_off, summer_time
from winterrisk.weather.checks.cold_precipitation import precipitation_in_deep_cold, rain_in_hard_cold
from winterrisk.weather.checks.confirm import lone_values
from winterrisk.weather.checks.depth_slips import depth_slips
from winterrisk.weather.checks.extremes import (
    alike_all_month,
    highest_below_lowest,
    too_wide,
    zeros_for_missing,
)
from winterrisk.weather.checks.flat import dead_calm, flat_lines, repeated_days, streaks
from winterrisk.weather.checks.future import future_rows
from winterrisk.weather.checks.gauge_heating import looks_unheated
from winterrisk.weather.checks.humidity import dew_point_above_air
from winterrisk.weather.checks.limits import far_from_season, outside_limits
from winterrisk.weather.checks.moved import level_shift
from winterrisk.weather.checks.neighbours import agreement, far_from_second, second_on
from winterrisk.weather.checks.rows import joined, positions, without_bad
from winterrisk.weather.checks.series import DAY
from winterrisk.weather.checks.snow_depth import depth_jumps, snow_in_warm_air
from winterrisk.weather.checks.spikes import spikes
from winterrisk.weather.checks.steps import steps
from winterrisk.weather.checks.telling import READER
from winterrisk.weather.checks.unit_slips import temperature_slips
from winterrisk.weather.place import Place

Check = Callable[[xr.Dataset], pd.DataFrame]
CONFIRMABLE: Final = ("far_from_season", "spike", "dip", "step")
"""Checks whose bad values a second source can make good again: they judge by what is likely."""


@dataclass(frozen=True)
class Checked:
    """A record after its checks.

    raw: a copy in which the values of verdict "bad" are missing, and nothing else is changed; rows: every
    finding, in the order of the checks, with the columns of `COLUMNS`.
    """

    raw: xr.Dataset
    rows: pd.DataFrame


def checked(
    raw: xr.Dataset,
    *,
    now: np.datetime64,
    place: Place,
    downslope: bool = False,
    second: xr.Dataset | None = None,
    units: str = "metric",
) -> Checked:
    """A record checked: bad values missing, and a row for everything found.

    Order matters: each check sees only values that passed the ones before it. A value that a check of
    likelihood calls bad (season, spike, step) is kept as suspect where the second source agrees within 5 K.

    Args:
        raw (time): hourly (UTC) or daily (local days), as `read_station` gives it.
        now: UTC; later rows are bad.
        place: of the course.
        downslope: the place knows chinook or foehn: wider limits for spikes and steps.
        second (time): a second source, in the same steps or hourly; or None.
        units: "metric" or "us", of the words.
    Reference: order and limits after Durre et al. (2010) and Zahumensky (2004); what is judged says so in its
        file.
    """
    attrs = dict(raw.attrs)
    seen = raw.assign_attrs({"timezone": place.timezone, **attrs, READER: units})
    other = second_on(seen, second, str(seen.attrs["timezone"]))
    found: list[pd.DataFrame] = []
    for check in _in_order(now, place, downslope, other):
        new = check(seen)
        if not len(new):
            continue
        new = _confirmed(new, seen, other)
        found.append(new)
        if (new["verdict"] == "bad").any():
            seen = without_bad(seen, new)
    out = seen if any((t["verdict"] == "bad").any() for t in found) else seen.copy(deep=True)
    out.attrs = attrs
    return Checked(out, joined(found))


def _in_order(
    now: np.datetime64, place: Place, downslope: bool, second: xr.Dataset | None
) -> Iterable[Check]:
    """The checks: what cannot be, what contradicts itself, what is unlikely, what is not confirmed; then notes
    on the record as a whole."""
    return (
        partial(future_rows, now=now),
        partial(temperature_slips, downslope=downslope),
        depth_slips,
        precipitation_slips,
        wind_slips,
        outside_limits,
        zeros_for_missing,
        alike_all_month,
        repeated_days,
        flat_lines,
        streaks,
        dead_calm,
        far_from_season,
        highest_below_lowest,
        partial(spikes, downslope=downslope),
        partial(steps, downslope=downslope),
        too_wide,
        dew_point_above_air,
        depth_jumps,
        snow_in_warm_air,
        precipitation_in_deep_cold,
        rain_in_hard_cold,
        *(() if second is None else (partial(far_from_second, second=second),)),
        partial(lone_values, second=second),
        looks_unheated,
        partial(level_shift, second=second),
        partial(clock_off, place=place),
        partial(summer_time, place=place),
    )


def _confirmed(new: pd.DataFrame, raw: xr.Dataset, second: xr.Dataset | None) -> pd.DataFrame:
    """The rows with bad turned to suspect where the second source agrees all along."""
    if second is None:
        return new
    kept = np.zeros(len(new), dtype=bool)
    doubtful = ((new["verdict"] == "bad") & new["check"].isin(CONFIRMABLE)).to_numpy()
    agreed = {name: agreement(raw, second, name) for name in set(new["what"][doubtful])}
    for i, (what, first, last) in enumerate(positions(new, raw["time"].to_numpy())):
        kept[i] = doubtful[i] and agreed[what][first:last].all()
    words = new["words"].str.replace("left out", "kept, for the second source agrees", regex=False)
    return new.assign(
        verdict=np.where(kept, "suspect", new["verdict"]), words=np.where(kept, words, new["words"])
    )


def flagged_days(
    lowest: ArrayLike, highest: ArrayLike, check: str | Sequence[str] | None = None, what: str | None = None
) -> list[int]:
    """Numbers of the days (1 = the first) that the daily checks call bad or suspect.

    Args:
        lowest, highest (day) [degC]: daily extremes in a row; check: names of checks to count, default all;
            what: "air_temperature_max" or "air_temperature_min", default both.
    """
    low, high = np.asarray(lowest, dtype=np.float64), np.asarray(highest, dtype=np.float64)
    days = np.datetime64("2001-01-01", "ns") + np.arange(len(low)) * DAY
    data = {"air_temperature_max": ("time", high), "air_temperature_min": ("time", low)}
    raw = xr.Dataset(data, coords={"time": days}, attrs={"step": "daily", "timezone": "UTC"})
    found = checked(raw, now=days[-1] + DAY, place=_NOWHERE).rows
    names = [check] if isinstance(check, str) else check
    keep = np.ones(len(found), dtype=bool)
    if names is not None:
        keep &= found["check"].isin(names).to_numpy()
    if what is not None:
        keep &= (found["what"] == what).to_numpy()
    numbers: set[int] = set()
    for _, first, last in positions(found[keep], days):
        numbers.update(range(first + 1, last + 1))
    return sorted(numbers)


@dataclass(frozen=True)
class _Nowhere:
    latitude: float = 45.0
    longitude: float = 0.0
    elevation: float = 0.0
    timezone: str = "UTC"


_NOWHERE: Final = _Nowhere()
