"""A station in a cold hollow, or above one: told by clear calm nights beside a second source."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.place import Place
from winterrisk.weather.second_source_hours import Key, Source, on_one_axis
from winterrisk.weather.solar import clear_sky
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.wind import STANDARD_HEIGHT, at_ten_metres

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CHECK: Final = "cold valley"
LARGEST: Final = 2.0
"""Difference of clear calm nights beyond that of other hours that is told [K] (judged: what a zone that cold air
pools in is given)."""
CALM: Final = 2.0
"""Wind at 10 m below which cold air gathers [m s-1] (judged)."""
CLEAR_CLOUD, CLEAR_DAY = 0.3, 0.7
"""Cloud cover under which a night is clear [1], and share of the clear-sky sun of the day before and after from
which it is, where no one sees the cloud (judged)."""
CLEAR_RANGE: Final = 10.0
"""Range of the day around it from which a night is clear where neither is measured [K] (judged)."""
LEAST_NIGHTS: Final = 10
"""Clear calm nights that make a test (judged)."""
DARK: Final = -6.0
"""Sun's height under which it is night [degree]."""


def clear_calm_nights(raw: xr.Dataset, place: Place) -> Flags:
    """Hours (time) of night under a clear sky and in calm air, as far as an hourly record can tell.

    Without wind every clear night counts as calm.
    """
    times = raw["time"].to_numpy()
    elevation, _ = sun_position(times, place.latitude, place.longitude, place.elevation)
    night = elevation < DARK
    if "wind_speed" in raw and np.isfinite(raw["wind_speed"].to_numpy()).any():
        height = float(raw.attrs.get("height_wind", STANDARD_HEIGHT))
        night &= at_ten_metres(raw["wind_speed"].to_numpy(), height) < CALM
    if "cloud_cover" in raw and np.isfinite(raw["cloud_cover"].to_numpy()).any():
        return np.asarray(night & (raw["cloud_cover"].to_numpy() <= CLEAR_CLOUD))
    if "shortwave_down" in raw and np.isfinite(raw["shortwave_down"].to_numpy()).any():
        clear = clear_sky(elevation, place.elevation)
        sun = np.asarray(raw["shortwave_down"].to_numpy(), dtype=np.float64)
        known = np.isfinite(sun)
        total, most = _around(np.where(known, sun, 0.0)), _around(np.where(known, clear, 0.0))
        return np.asarray(night & (total >= CLEAR_DAY * np.maximum(most, 1.0)) & (most > 0.0))
    t = np.asarray(raw["air_temperature"].to_numpy(), dtype=np.float64)
    return np.asarray(night & (_range_around(t) >= CLEAR_RANGE))


def _around(values: Array) -> Array:
    """Sum over the 24 h around each hour."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    at = np.arange(len(values))
    return np.asarray(total[np.minimum(at + 13, len(values))] - total[np.maximum(at - 12, 0)])


def _range_around(t: Array) -> Array:
    padded = np.pad(t, 12, constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 25)
    out = np.full(len(t), np.nan)
    some = np.isfinite(windows).sum(axis=1) >= 12
    out[some] = np.nanmax(windows[some], axis=1) - np.nanmin(windows[some], axis=1)
    return np.asarray(np.nan_to_num(out))


def valley_rows(first: xr.Dataset, second: xr.Dataset, place: Place, key: Key = ()) -> pd.DataFrame:
    """A row (verdict "note") where a station is more than 2 degC colder or warmer than another on clear calm
    nights, beyond their difference at other hours; else none.

    Cold air runs into hollows on such nights: a station there is colder than open greens, one on a slope or
    roof warmer than low ones. Worked on the hours from October to April.

    Args:
        first, second (time): raw records of station and second source; place; key: of `complete`.
    Returns:
        Findings; value: difference on such nights beyond that of other hours, first less second [K].
    """
    raw, sources = on_one_axis(first, [second], place, key)
    source: Source = sources[0]
    if not source.has("air_temperature"):
        return rows()
    times = raw["time"].to_numpy()
    difference = np.asarray(raw["air_temperature"].to_numpy(), dtype=np.float64)
    difference = difference - source.values["air_temperature"]
    month = times.astype("datetime64[M]").astype(np.int64) % 12 + 1
    season = np.isfinite(difference) & ((month >= 10) | (month <= 4))
    still = season & clear_calm_nights(raw, place)
    other = season & ~still
    nights = np.unique((times[still] - np.timedelta64(12, "h")).astype("datetime64[D]"))
    if len(nights) < LEAST_NIGHTS or not other.any():
        return rows()
    of_nights, of_others = float(np.median(difference[still])), float(np.median(difference[other]))
    beyond = of_nights - of_others
    if abs(beyond) <= LARGEST:
        return rows()
    tell = Telling.of(raw)
    way, where, low = (
        ("colder", "in a hollow that fills with cold air", "greens on slopes and in the open stay warmer")
        if beyond < 0
        else ("warmer", "above the cold air", "low greens get colder than it says")
    )
    words = (
        f"On clear calm nights {tell.station} is {tell.measure(abs(beyond), 'K')} {way} beside {source.name} than "
        f"at other hours ({len(nights)} nights): it stands {where}, and {low}. See each zone's cold_air."
    )
    until = times[np.flatnonzero(still)[-1]] + np.timedelta64(1, "h")
    begin = times[np.flatnonzero(still)[0]]
    return rows([Found("air_temperature", begin, until, beyond, LARGEST, "note", CHECK, words)])
