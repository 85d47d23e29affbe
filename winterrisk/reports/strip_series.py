"""Days of each zone for the strips of the night page: air, crown, kill temperature, snow, ice, wet hours."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.reports.night_record import rounded
from winterrisk.science.weighted import weighted_quantiles

DAYS_BEHIND: Final = 90
"""Days shown up to tonight (judged: longer than the longest bout of ice one asks about)."""
DAYS_AHEAD: Final = 10
"""Days shown after tonight, those a forecast may speak of (judged)."""
RANGE: Final = (0.05, 0.5, 0.95)
LEAST_SHARE: Final = 0.05
"""Share of a zone from which a grass may give the kill temperature shown [1] (judged)."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Strip:
    """One zone day by day: medians over the possible winters, and 5-95 % where low and high are given.

    days: ISO dates; measured: how many of them lie behind tonight; air_low, air_high: station [degC];
    crown: coldest of the day [degC]; kill: kill temperature [degC] of `species`, the most tender tonight;
    snow [m]; ice [mm]; wet [h]; later: (ISO date, chance, low, high) of over a quarter dead,
    tonight first and the last day spoken of last.
    """

    days: tuple[str, ...]
    measured: int
    air_low: tuple[float, ...]
    air_high: tuple[float, ...]
    crown: tuple[float, ...]
    crown_low: tuple[float, ...]
    crown_high: tuple[float, ...]
    kill: tuple[float, ...]
    species: str
    snow: tuple[float, ...]
    ice: tuple[float, ...]
    wet: tuple[float, ...]
    later: tuple[tuple[str, float, float, float], ...]


def zone_strips(
    winter_days: xr.Dataset,
    harm: xr.Dataset,
    outlook: xr.Dataset,
    air: xr.DataArray,
    shares: xr.DataArray,
    on: dt.date,
    until: dt.date,
    timezone: str,
) -> dict[str, Strip]:
    """Strip of every zone, by label, from 90 days before the night `on` to 10 days after.

    Args:
        winter_days (day, zone, member); harm: kill_temperature (species, day, zone, member) [degC].
        outlook: chance, chance_low, chance_high (day, zone, band), weight (zone, member, draw).
        air (time, member): temperature at the station [degC], UTC. shares (zone, species): of the turf [1].
        until: last day of the chances. timezone: of the course, whose days are drawn.
    """
    tonight = np.datetime64(on, "D") - 1
    first, last = tonight - DAYS_BEHIND + 1, tonight + DAYS_AHEAD
    shown = winter_days.sel(day=slice(first, last))
    kill = harm["kill_temperature"].sel(day=slice(first, last))
    days = shown["day"].to_numpy().astype("datetime64[D]")
    air_low, air_high = _air_by_day(air, days, timezone)
    common = {
        "days": tuple(str(day) for day in days),
        "measured": int((days <= tonight).sum()),
        "air_low": air_low,
        "air_high": air_high,
    }
    strips = {}
    for zone in (str(z) for z in shown["zone"].to_numpy()):
        weight = outlook["weight"].sel(zone=zone).sum("draw").to_numpy()
        there = shown.sel(zone=zone)
        species = _most_tender(kill.sel(zone=zone, day=tonight), shares.sel(zone=zone), weight)
        crown = _quantiles(there["crown_temperature_min"], weight)
        strips[zone] = Strip(
            **common,
            crown_low=_told(crown[0]),
            crown=_told(crown[1]),
            crown_high=_told(crown[2]),
            kill=_told(_quantiles(kill.sel(zone=zone, species=species), weight)[1]),
            species=species,
            snow=_told(_quantiles(there["snow_depth_mean"], weight)[1], 3),
            ice=_told(_quantiles(there["ice_thickness_max"], weight)[1]),
            wet=_told(_quantiles(there["hours_wet"], weight)[1]),
            later=_later(outlook.sel(zone=zone, band="parts", day=slice(tonight, np.datetime64(until)))),
        )
    return strips


def _quantiles(values: xr.DataArray, weight: Floats) -> Floats:
    """Quantiles (quantile, day) over the possible winters."""
    table = values.transpose("day", "member").to_numpy()
    return np.array([weighted_quantiles(row, weight, RANGE) for row in table]).reshape(-1, len(RANGE)).T


def _told(values: Floats, digits: int = 1) -> tuple[float, ...]:
    return tuple(round(float(v), digits) + 0.0 for v in values)


def _most_tender(kill: xr.DataArray, shares: xr.DataArray, weight: Floats) -> str:
    """The grass of the zone that dies at the mildest temperature tonight."""
    names = [str(s) for s in kill["species"].to_numpy() if float(shares.sel(species=s)) >= LEAST_SHARE]
    mean = {s: float(np.average(kill.sel(species=s).to_numpy(), weights=weight)) for s in names}
    return max(mean, key=lambda s: mean[s])


def _air_by_day(
    air: xr.DataArray, days: NDArray[np.datetime64], timezone: str
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Lowest and highest of each local day [degC], the middle one of the possible winters."""
    span = air.sel(time=slice(days[0] - 1, days[-1] + 2)) if len(days) else air
    table = span.transpose("time", ...).to_pandas()
    local = pd.DatetimeIndex(table.index).tz_localize("UTC").tz_convert(timezone)
    by_day = pd.DataFrame(table).groupby(local.date)
    dates = [dt.date.fromisoformat(str(day)) for day in days]
    low, high = (by_day.min().reindex(dates), by_day.max().reindex(dates))
    return _told(low.median(axis=1).to_numpy()), _told(high.median(axis=1).to_numpy())


def _later(ahead: xr.Dataset) -> tuple[tuple[str, float, float, float], ...]:
    return tuple(
        (str(day)[:10], rounded(chance), rounded(low), rounded(high))
        for day, chance, low, high in zip(
            ahead["day"].to_numpy(),
            ahead["chance"].to_numpy(),
            ahead["chance_low"].to_numpy(),
            ahead["chance_high"].to_numpy(),
            strict=True,
        )
    )


def strip_rows(strip: Strip, behind: int) -> list[Mapping[str, Any]]:
    """The last days behind tonight and all ahead as rows, for those who do not see the strips.

    Args:
        behind: days behind tonight.
    """
    names = ("air_low", "air_high", "crown", "crown_low", "crown_high", "kill", "snow", "ice", "wet")
    return [
        {"day": day, "ahead": i >= strip.measured, **{name: getattr(strip, name)[i] for name in names}}
        for i, day in enumerate(strip.days)
        if i >= strip.measured - behind
    ]
