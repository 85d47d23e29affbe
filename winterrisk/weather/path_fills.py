"""Gaps of a measured winter filled anew in each path, so that paths differ where nothing was measured."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart, hours_since_1970, normal_by_hour
from winterrisk.weather.bridge import ANOMALY_SPREAD, HOURLY_MEMORY, SHORT_GAP
from winterrisk.weather.gaps import SHORT_WATER_GAP, lent_anomaly, runs
from winterrisk.weather.longwave import longwave_down
from winterrisk.weather.other_winters import lending_shifts
from winterrisk.weather.record import Record
from winterrisk.weather.solar import sun_of_date
from winterrisk.weather.usual import usual
from winterrisk.weather.variables import FILLED

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]
LENT_NOISE: Final = 0.5
"""Share of a gap's spread that is added as noise where weather was lent: few years lend, and they are alike
[1] (judged on hours left out of two real records)."""
BORROWED_AS_IT_IS = ("wind_speed", "precipitation", "cloud_cover", "freezing_rain", "snow_fraction")


def path_fills(record: Record, begins: int, count: int, key: Key) -> dict[str, Array]:
    """Values (time, path) by variable from index `begins` of a record on, filled differently in each path.

    A gap over 12 h takes another year's weather in each path (3 h for precipitation). Temperatures that are
    filled, or come from a second source, get noise with the memory of the anomaly and their own spread, the
    same for an hour on every night.

    Args:
        record: all that is known; begins: index of the winter's first hour; count: paths; key: course.
    """
    out = {n: np.repeat(v[begins:, None], count, axis=1) for n, v in record.values.items()}
    temperature = record.values["air_temperature"]
    filled_t = record.origin["air_temperature"] == FILLED
    anew = np.zeros(len(temperature), dtype=bool)
    if filled_t[begins:].any():
        known = ~filled_t
        base = usual(record.times, np.where(known, temperature, np.nan), ANOMALY_SPREAD).at(record.times)
        anomaly = temperature - base
        for first, length in _runs_from(filled_t, begins, SHORT_GAP):
            for path, shift in enumerate(_shifts(record, known, first, length, count, key)):
                gap = slice(first, first + length)
                here = slice(first - begins, first - begins + length)
                out["air_temperature"][here, path] = base[gap] + lent_anomaly(
                    anomaly, first, length, shift, joined=True
                )
                _borrow_others(out, record, first, length, shift, path, begins)
                anew[gap] = True
    _add_noise(out, record, begins, anew, key)
    known_water = record.origin["precipitation"] != FILLED
    for first, length in _runs_from(~known_water, begins, SHORT_WATER_GAP):
        here = slice(first - begins, first - begins + length)
        for path, shift in enumerate(_shifts(record, known_water, first, length, count, key)):
            there = record.values["precipitation"][first + shift : first + shift + length]
            out["precipitation"][here, path] = there
    _refresh_longwave(out, record, begins, (filled_t | (record.spread > 0.0))[begins:])
    return out


def _runs_from(flag: NDArray[np.bool_], begins: int, longer_than: int) -> list[tuple[int, int]]:
    found = []
    for first, length in runs(flag):
        inside = max(first, begins)
        if length > longer_than and first + length > begins:
            found.append((inside, first + length - inside))
    return found


def _shifts(
    record: Record, known: NDArray[np.bool_], first: int, length: int, count: int, key: Key
) -> list[int]:
    hour = int(hours_since_1970(record.times[first : first + 1])[0])
    return lending_shifts(known, first, length, key=(*key, "gap", hour), count=count)


def _borrow_others(
    out: dict[str, Array], record: Record, first: int, length: int, shift: int, path: int, begins: int
) -> None:
    gap, there = slice(first, first + length), slice(first + shift, first + shift + length)
    here = slice(first - begins, first - begins + length)

    def put(name: str, values: Array) -> None:
        unknown = record.origin[name][gap] == FILLED
        out[name][here, path] = np.where(unknown, values, out[name][here, path])

    depression = record.values["air_temperature"][there] - record.values["dew_point"][there]
    put("dew_point", out["air_temperature"][here, path] - depression)
    put(
        "shortwave_down",
        sun_of_date(record.values["shortwave_down"][there], record.clear[there], record.clear[gap]),
    )
    for name in BORROWED_AS_IT_IS:
        if name in record.values:
            put(name, record.values[name][there])


def _add_noise(out: dict[str, Array], record: Record, begins: int, anew: NDArray[np.bool_], key: Key) -> None:
    spread = np.where(anew, LENT_NOISE, 1.0)[begins:] * record.spread[begins:]
    if not spread.any():
        return
    from scipy.signal import lfilter  # slow to load; only a record with gaps needs it

    hours = hours_since_1970(record.times[begins:])
    kick = np.sqrt(1.0 - HOURLY_MEMORY**2)
    for path in range(out["air_temperature"].shape[1]):
        white = normal_by_hour((*key, "gap noise", path), hours)
        noise = spread * lfilter([kick], [1.0, -HOURLY_MEMORY], white)
        out["air_temperature"][:, path] += noise
        unknown = record.origin["dew_point"][begins:] == FILLED
        out["dew_point"][:, path] += np.where(unknown, noise, 0.0)


def _refresh_longwave(out: dict[str, Array], record: Record, begins: int, changed: NDArray[np.bool_]) -> None:
    out["dew_point"] = np.minimum(out["dew_point"], out["air_temperature"])
    renew = changed & (record.origin["longwave_down"][begins:] == FILLED)
    out["longwave_down"][renew] = longwave_down(
        out["air_temperature"][renew], out["dew_point"][renew], out["cloud_cover"][renew]
    )
