"""Possible weather of a winter: what was measured, what may have been in its gaps, and how it may go on."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart
from winterrisk.weather.complete import SPREAD_ATTRS, origin_attrs
from winterrisk.weather.complete_radiation import SUN_ATTRS
from winterrisk.weather.continuation import after_forecast, after_past_winter
from winterrisk.weather.daily_to_hourly import HOURS_OF_RAIN, other_hours_of_rain
from winterrisk.weather.day_ends import day_ends_of
from winterrisk.weather.gap_extremes import DaysOnRecord
from winterrisk.weather.gap_groups import (
    COLD_AND_DRY,
    GROUP_WEIGHTS,
    LONG_GAP,
    THAW_THEN_COLD,
    USUAL,
    at_worst,
)
from winterrisk.weather.gap_scattered import SCATTERED_SHARE, sharpened
from winterrisk.weather.gaps import runs
from winterrisk.weather.humidity import dew_point_in_rain
from winterrisk.weather.path_fills import path_fills
from winterrisk.weather.record import HOUR, Record, extended, record_of
from winterrisk.weather.solar import clear_sky
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.variables import FILLED, FORECAST, PAST_WINTER, VARIABLES
from winterrisk.weather.winters import Following, followings, winter_begin, winter_end

Array = NDArray[np.float64]
Origins = dict[str, NDArray[np.int8]]

PATHS: Final = 5
"""Weather paths where the caller does not say (design of the package)."""


def possible(
    measured: xr.Dataset,
    forecast: xr.Dataset | None = None,
    past: xr.Dataset | None = None,
    *,
    members: int = PATHS,
    key: tuple[KeyPart, ...] | KeyPart,
    until: np.datetime64 | None = None,
    now: np.datetime64 | None = None,
) -> xr.Dataset:
    """Weather (time, member) of one winter in several possible courses.

    Every path has what was measured. Its gaps are filled anew in each; after the last known hour (and the
    forecast) it takes the weather of a past winter on the same dates, whose choice hangs on course and
    winter, not on the night, joined within 24 h. Where more than 24 h are missing, the record ends more than
    24 h before `now`, or short gaps hold 2 % of the hours, all paths come three times: as said (weight 0.94
    together), with the stretch as cold and dry as the season has been (0.03), and with its warmest and
    wettest day first (0.03); short gaps at the low end of their range, or as sharp and wet as they can have
    been. So missing data widens what is possible.

    Args:
        measured (time): of the winter so far, as `complete` gives it. past (time): the whole record,
            likewise; only hours before `measured` are used. forecast (time[, member]): hours after it,
            complete.
        members: paths before gap groups. key: the course's id, or a tuple that begins with it.
        until: UTC hour at which paths end, default 1 July. now: UTC, the night's instant.
    Returns:
        Dataset(time, member) with coordinates path, gap_group (0 usual, 1 cold and dry, 2 wet, then cold),
        path_weight (adding to 1) and past_winter (member); origins and the sun have no member.
    """
    parts = key if isinstance(key, tuple) else (key,)
    record = record_of(measured, past)
    first = measured["time"].to_numpy()[0]
    end = measured["time"].to_numpy()[-1] + HOUR
    last = (winter_end(end - HOUR) if until is None else np.datetime64(until)).astype("datetime64[ns]")
    instant = end if now is None else np.datetime64(now).astype("datetime64[h]").astype("datetime64[ns]")
    last = max(last, end, instant)
    winter_begins = max(first, winter_begin(last - HOUR))
    both = record.measured("air_temperature", "precipitation")
    follows = followings(
        both, record.times, winter_begins, last, key=parts, count=members,
        warmth=record.values["air_temperature"],
    )  # fmt: skip
    if not follows and instant > end and forecast is None:
        record = extended(record, instant, measured.attrs)
    begins = record.at(first)
    values = path_fills(record, begins, members, parts)
    if measured.attrs.get("station_step") == "daily":
        _move_rain(values, record.times[begins:], measured.attrs["timezone"], day_ends_of(measured), parts)
        worked_out = (record.origin["dew_point"][begins:] == FILLED)[:, None]
        in_rain = dew_point_in_rain(*(values[n] for n in ("dew_point", "air_temperature", "precipitation")))
        values["dew_point"] = np.where(worked_out, in_rain, values["dew_point"])
    origin = {n: o[begins:].copy() for n, o in record.origin.items()}
    if forecast is not None:
        values, origin = after_forecast(values, origin, forecast, end, FORECAST)
    known_until = first + len(origin["air_temperature"]) * HOUR
    if follows and known_until < last:
        times = known_until + np.arange(int((last - known_until) / HOUR)) * HOUR
        clear = _sun(times, measured.attrs)["shortwave_clear"]
        values, origin = after_past_winter(values, origin, record, follows, times, clear, PAST_WINTER)
    times = first + np.arange(len(origin["air_temperature"])) * HOUR
    sun = _sun(times, measured.attrs)
    unknown = {n: (o == FILLED) | ((times >= end) & (times < instant)) for n, o in origin.items()}
    spread = np.zeros(len(times))
    spread[: len(record.spread) - begins] = record.spread[begins:]
    known = max(int((instant - first) / HOUR), 1)
    values, groups = _with_groups(
        values, times, sun["shortwave_clear"], unknown, record, members, spread, known
    )
    return _dataset(values, origin, sun, times, groups, follows, spread, measured.attrs)


def _move_rain(
    values: dict[str, Array],
    times: NDArray[np.datetime64],
    timezone: str,
    ends: int,
    key: tuple[KeyPart, ...],
) -> None:
    """Puts a daily station's rain at other hours of its days in every path but the first, in place."""
    rain = values["precipitation"]
    for path in range(1, rain.shape[1]):
        own = (*key, HOURS_OF_RAIN, path)
        rain[:, path] = other_hours_of_rain(rain[:, path], times, timezone, own, ends)


def _sun(times: NDArray[np.datetime64], attrs: dict) -> dict[str, Array]:
    elevation, azimuth = sun_position(times, attrs["latitude"], attrs["longitude"], attrs["elevation"])
    clear = clear_sky(elevation, attrs["elevation"])
    return {"sun_elevation": elevation, "sun_azimuth": azimuth, "shortwave_clear": clear}


def _with_groups(
    values: dict[str, Array],
    times: NDArray[np.datetime64],
    clear: Array,
    unknown: dict[str, NDArray[np.bool_]],
    record: Record,
    members: int,
    spread: Array,
    known: int,
) -> tuple[dict[str, Array], NDArray[np.int64]]:
    """The paths once, or three times where much is missing, and the gap group of each."""
    either = unknown["air_temperature"] | unknown["precipitation"]
    gaps = runs(either)
    long = [(a, n) for a, n in gaps if n > LONG_GAP]
    short = either.copy()
    for begin, length in long:
        short[begin : begin + length] = False
    scattered = short.sum() >= SCATTERED_SHARE * known
    if not long and not scattered:
        return values, np.full(members, USUAL)
    days = DaysOnRecord(record)
    groups = range(len(GROUP_WEIGHTS))
    copies = [{n: v.copy() for n, v in values.items()} for _ in groups]
    if scattered:
        for group in (COLD_AND_DRY, THAW_THEN_COLD):
            sharpened(copies[group], unknown, short, spread, group)
    for begin, length in long:
        gap = slice(begin, begin + length)
        extremes = days.extremes(times[gap])
        if extremes is None:
            continue
        for group in groups:
            if group != USUAL:
                inside = {n: v[gap] for n, v in copies[group].items()}
                at_worst(
                    inside, times[gap], clear[gap], {n: u[gap] for n, u in unknown.items()}, extremes, group
                )
    together = {n: np.concatenate([c[n] for c in copies], axis=1) for n in values}
    return together, np.repeat(np.array(groups), members)


def _dataset(
    values: dict[str, Array],
    origin: Origins,
    sun: dict[str, Array],
    times: NDArray[np.datetime64],
    groups: NDArray[np.int64],
    follows: list[Following],
    spread: Array,
    attrs: dict,
) -> xr.Dataset:
    path = np.arange(len(groups)) % int(np.sum(groups == USUAL))
    share = np.array(GROUP_WEIGHTS) if groups.any() else np.array([1.0])
    weight = share[groups] / np.sum(groups == USUAL)
    data = {n: (("time", "member"), v, VARIABLES[n].attrs) for n, v in values.items()}
    data |= {f"{n}_origin": ("time", o, origin_attrs(n)) for n, o in origin.items()}
    data |= {n: ("time", v, SUN_ATTRS[n]) for n, v in sun.items()}
    data["air_temperature_sd"] = ("time", spread, SPREAD_ATTRS)
    names = [follows[p].name if follows else "" for p in path]
    coords = {
        "time": times,
        "member": np.arange(len(groups)),
        "path": ("member", path, {"long_name": "weather path"}),
        "gap_group": ("member", groups, {"long_name": "how long gaps are filled"}),
        "path_weight": ("member", weight, {"units": "1", "long_name": "weight of the path"}),
        "past_winter": ("member", np.array(names, dtype=object), {"long_name": "past winter that follows"}),
    }
    told = (
        "past winters: " + ", ".join(f.name for f in follows) if follows else "none: no past winter on record"
    )
    return xr.Dataset(data, coords=coords, attrs={**attrs, "continuation": told})
