"""What the coming days may bring to ice and snow: the next thaw, rain on snow, hard freeze, and spell to drain."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course import local_days
from winterrisk.science.air import snow_fraction, vapour_pressure_water, wet_bulb

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

THAW: Final = 1.0
"""Air temperature from which an hour counts as thaw [degC] (judged: the swing rule of the crown)."""
THAW_HOURS: Final = 6
"""Hours of thaw in a day that make it one [h] (judged)."""
RAIN: Final = 2.0
"""Rain of a day that soaks a snow cover [kg m-2] (judged)."""
SNOW: Final = 0.02
"""Snow cover from which rain falls on snow [m] (judged)."""
HARD_FREEZE: Final = -10.0
"""Lowest air temperature of a hard freeze [degC] (judged)."""
DRAIN_HOURS: Final = 8
"""Hours above the thaw mark in a day in which water can be moved [h] (judged: a working day)."""
DRY: Final = 2.0
"""Precipitation of a day up to which it counts as one to melt and drain [kg m-2] (judged)."""
CONCRETE, CHANCE, WATCH = "concrete", "chance", "watch"
CONCRETE_DAYS, CHANCE_DAYS = 2, 5
"""Days ahead up to which a day is told as such, and up to which as a chance (guidance for superintendents)."""
WORTH_SAYING: Final = 0.1
"""Least chance in any day that is told [1] (judged)."""
MIDDLE: Final = 0.8
"""Share of the paths with the event whose days make the window [1] (judged)."""


@dataclass(frozen=True)
class EventAhead:
    """The next event of a kind.

    chance: that it comes by the last day looked at [1], of the paths' weight; first, last: local days between
    which it comes in most of the paths that have it; day: the likeliest, with its own chance by_day [1]; how:
    "concrete" (days 1-2), "chance" (days 3-5), "watch" (later: the words name no day), or "" where hardly any
    path has it.
    """

    kind: str
    chance: float
    first: np.datetime64 | None
    last: np.datetime64 | None
    day: np.datetime64 | None
    by_day: float
    how: str


def events_ahead(
    weather: xr.Dataset,
    now: np.datetime64,
    *,
    timezone: str,
    days: int = 10,
    snow_depth: xr.DataArray | Array | None = None,
) -> tuple[EventAhead, ...]:
    """The next thaw, rain on snow, hard freeze and spell to melt and drain, with chance and window.

    Args:
        weather (time, member): possible weather, with path_weight (member) where `possible` gives it.
        now: UTC; timezone: of the course; days: local days looked at, day 1 is the one that holds `now`.
        snow_depth (time, member) or (member) [m]: on the ground; left out: that of the weather, else no rain on
            snow is told.
    """
    start = np.datetime64(now).astype("datetime64[h]").astype("datetime64[ns]")
    ahead = weather.sel(time=slice(start, start + np.timedelta64(24 * days + 24, "h")))
    values = {
        n: _values(ahead, n) for n in ("air_temperature", "dew_point", "precipitation", "surface_pressure")
    }
    own = local_days(ahead["time"].to_numpy(), timezone).astype("datetime64[D]")
    dates = np.unique(own)[:days]
    weight = ahead["path_weight"].to_numpy() if "path_weight" in ahead.coords else None
    count = values["air_temperature"].shape[1]
    share = np.full(count, 1.0 / count) if weight is None else weight / weight.sum()
    snow = _snow(ahead, weather, snow_depth, count)
    found = []
    for kind, happens in _kinds(values, snow).items():
        flags = np.array([happens(own == date) for date in dates])
        found.append(_event(kind, flags, dates, share))
    return tuple(found)


def _values(ahead: xr.Dataset, name: str) -> Array:
    return np.asarray(ahead[name].transpose("time", "member").to_numpy(), dtype=np.float64)


def _snow(
    ahead: xr.Dataset, weather: xr.Dataset, given: xr.DataArray | Array | None, count: int
) -> Array | None:
    shape = (ahead.sizes["time"], count)
    if given is None:
        if "snow_depth" not in weather:
            return None
        deep = _values(ahead, "snow_depth")
        if np.isfinite(deep).any():
            return deep
        before = weather["snow_depth"].transpose("time", "member").to_numpy()
        known = np.flatnonzero(np.isfinite(before).all(axis=1))
        return np.broadcast_to(before[known[-1]], shape) if len(known) else None
    if isinstance(given, xr.DataArray) and "time" in given.dims:
        return np.asarray(
            given.sel(time=ahead["time"]).transpose("time", "member").to_numpy(), dtype=np.float64
        )
    return np.broadcast_to(np.asarray(given, dtype=np.float64), shape)


def _kinds(values: Mapping[str, Array], snow: Array | None) -> dict[str, Callable[[Flags], Flags]]:
    air, water = values["air_temperature"], values["precipitation"]
    bulb = wet_bulb(air, vapour_pressure_water(values["dew_point"]), values["surface_pressure"])
    rain = water * (1.0 - snow_fraction(bulb))
    warm = air >= THAW

    def thaw(day: Flags) -> Flags:
        return warm[day].sum(axis=0) >= THAW_HOURS

    def hard_freeze(day: Flags) -> Flags:
        return air[day].min(axis=0) <= HARD_FREEZE

    def drain(day: Flags) -> Flags:
        return (warm[day].sum(axis=0) >= DRAIN_HOURS) & (water[day].sum(axis=0) <= DRY)

    kinds: dict[str, Callable[[Flags], Flags]] = {"thaw": thaw}
    if snow is not None:

        def rain_on_snow(day: Flags) -> Flags:
            return np.where(snow[day] >= SNOW, rain[day], 0.0).sum(axis=0) >= RAIN

        kinds["rain on snow"] = rain_on_snow
    return kinds | {"hard freeze": hard_freeze, "spell to melt and drain": drain}


def _event(kind: str, flags: Flags, dates: NDArray[np.datetime64], share: Array) -> EventAhead:
    any_day = flags.any(axis=0)
    chance = float(share[any_day].sum())
    if chance < WORTH_SAYING:
        return EventAhead(kind, chance, None, None, None, 0.0, "")
    first = flags.argmax(axis=0)
    by_first = np.array([share[any_day & (first == d)].sum() for d in range(len(dates))])
    cumulative = np.cumsum(by_first) / chance
    tail = (1.0 - MIDDLE) / 2.0
    low = int(np.searchsorted(cumulative, tail + 1e-9))
    high = int(np.searchsorted(cumulative, 1.0 - tail - 1e-9))
    likeliest = int(np.argmax(by_first))
    by_day = float(share[flags[likeliest]].sum())
    number = likeliest + 1
    how = CONCRETE if number <= CONCRETE_DAYS else CHANCE if number <= CHANCE_DAYS else WATCH
    return EventAhead(
        kind, chance, dates[low], dates[min(high, len(dates) - 1)], dates[likeliest], by_day, how
    )
