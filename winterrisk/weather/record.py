"""The whole record up to the last known hour, as arrays: what lends weather to gaps and to the rest of a
winter."""

from dataclasses import dataclass

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.bridge import open_end_spread
from winterrisk.weather.solar import clear_sky
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.variables import FILLED, OPTIONAL, REQUIRED

Array = NDArray[np.float64]
HOUR = np.timedelta64(1, "h")
NOT_CARRIED = ("snow_depth",)
"""Seen at the station on its day: another winter's says nothing."""


@dataclass(frozen=True)
class Record:
    """Hours without a break: values and origins by variable, sun's height and clear-sky shortwave among
    them."""

    times: NDArray[np.datetime64]
    values: dict[str, Array]
    origin: dict[str, NDArray[np.int8]]
    clear: Array
    spread: Array

    def measured(self, *names: str) -> NDArray[np.bool_]:
        """Hours at which all of these variables were measured (time)."""
        flags = [self.origin[n] < FILLED for n in names]
        return np.logical_and.reduce(flags)

    def at(self, time: np.datetime64) -> int:
        """Index of a time, also beyond the ends."""
        return int((time.astype("datetime64[h]") - self.times[0].astype("datetime64[h]")) / HOUR)


def record_of(measured: xr.Dataset, past: xr.Dataset | None) -> Record:
    """The past before `measured`, and `measured`: nothing later.

    Args:
        measured, past (time): as `complete` gives them.
    Raises:
        ValueError: hours are missing between the two.
    """
    parts = [measured]
    first = measured["time"].to_numpy()[0]
    if past is not None:
        earlier = past.isel(time=np.flatnonzero(past["time"].to_numpy() < first))
        if earlier.sizes["time"]:
            if earlier["time"].to_numpy()[-1] != first - HOUR:
                raise ValueError(
                    f"past ends {earlier['time'].to_numpy()[-1]}, expected the hour before {first}"
                )
            parts = [earlier, measured]
    names = [n for n in (*REQUIRED, *OPTIONAL) if all(n in p for p in parts)]

    def joined(name: str) -> NDArray[np.float64]:
        return np.concatenate([p[name].to_numpy() for p in parts])

    return Record(
        times=np.concatenate([p["time"].to_numpy() for p in parts]),
        values={n: joined(n).astype(np.float64) for n in names},
        origin={n: joined(f"{n}_origin").astype(np.int8) for n in names},
        clear=joined("shortwave_clear"),
        spread=joined("air_temperature_sd"),
    )


def extended(record: Record, until: np.datetime64, attrs: dict) -> Record:
    """The record up to `until` with its last day over and over, marked as filled: a base for the paths' own
    fills.

    Args:
        until: UTC hour after the last one; attrs: latitude, longitude, elevation of the place.
    """
    count = int((until - record.times[-1]) / HOUR) - 1
    if count <= 0:
        return record
    times = record.times[-1] + np.arange(1, count + 1) * HOUR
    last_day = len(record.times) - 24 + np.arange(count) % 24
    again = np.maximum(last_day, 0)
    elevation, _ = sun_position(times, attrs["latitude"], attrs["longitude"], attrs["elevation"])
    marked = np.full(count, FILLED, dtype=np.int8)
    values = {n: np.concatenate([v, v[again]]) for n, v in record.values.items()}
    for name in NOT_CARRIED:
        if name in values:
            values[name][-count:] = np.nan
    return Record(
        times=np.concatenate([record.times, times]),
        values=values,
        origin={n: np.concatenate([o, marked]) for n, o in record.origin.items()},
        clear=np.concatenate([record.clear, clear_sky(elevation, attrs["elevation"])]),
        spread=np.concatenate([record.spread, open_end_spread(count)]),
    )
