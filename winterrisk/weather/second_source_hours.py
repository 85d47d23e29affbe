"""First and second sources brought onto one axis of hours, in the same terms."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart
from winterrisk.weather.daily_to_hourly import daily_to_hourly
from winterrisk.weather.humidity import dew_point_of_humidity
from winterrisk.weather.place import Place
from winterrisk.weather.variables import FILLED, VARIABLES
from winterrisk.weather.wind import STANDARD_HEIGHT, at_ten_metres

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]
HOUR = np.timedelta64(1, "h")
OTHER_STATION, MODEL = 1, 2
"""Origins of values that another station or a weather model's analysis gave."""
LAPSE: Final = -0.0065
"""Change of the air's temperature with height [K m-1] (standard atmosphere)."""
LEAST_HEIGHT: Final = 100.0
"""Difference in height from which it is counted on before anything is measured [m] (judged)."""


@dataclass(frozen=True)
class Source:
    """A second source on the first one's hours: values and origins (time) by variable, name, height [m]."""

    name: str
    values: dict[str, Array]
    origin: dict[str, NDArray[np.int8]]
    above: float

    def has(self, name: str) -> bool:
        """Whether it knows any hour of a variable."""
        return name in self.values and bool(np.isfinite(self.values[name]).any())


def as_hours(raw: xr.Dataset, place: Place, key: Key) -> xr.Dataset:
    """A raw record by the hour: a daily one becomes hours, an hourly one stays as it is."""
    return daily_to_hourly(raw, place, key) if raw.attrs.get("step") == "daily" else raw


def on_one_axis(
    first: xr.Dataset, seconds: Sequence[xr.Dataset], place: Place, key: Key
) -> tuple[xr.Dataset, list[Source]]:
    """The first record by the hour, up to the last hour that any source knows, and the others on its hours.

    Hours before the first record begins are left out: its own past is what lends.

    Args:
        first, seconds: raw records, hourly or daily; place, key: as for `complete`.
    """
    whole = as_hours(first, place, key)
    others = [as_hours(raw, place, (*key, "second", n)) for n, raw in enumerate(seconds)]
    times = whole["time"].to_numpy()
    last = max([times[-1], *(raw["time"].to_numpy()[-1] for raw in others if raw.sizes["time"])])
    axis = times[0] + np.arange(int((last - times[0]) / HOUR) + 1) * HOUR
    if len(axis) > len(times):
        fill: dict[str, float | int] = {
            str(n): FILLED if str(n).endswith("_origin") else np.nan for n in whole.data_vars
        }
        whole = whole.reindex(time=axis, fill_value=fill)
    height = float(whole.attrs.get("height_wind", STANDARD_HEIGHT))
    return whole, [_source(raw, axis, place, height, n) for n, raw in enumerate(others)]


def _source(
    raw: xr.Dataset, axis: NDArray[np.datetime64], place: Place, height_wind: float, number: int
) -> Source:
    there = raw.drop_duplicates("time").reindex(time=axis)
    values: dict[str, Array] = {}
    origin: dict[str, NDArray[np.int8]] = {}
    for name in map(str, there.data_vars):
        if name not in VARIABLES:
            continue
        given = np.array(there[name].to_numpy(), dtype=np.float64)
        said = there[f"{name}_origin"].to_numpy() if f"{name}_origin" in there else np.zeros(len(axis))
        code = np.nan_to_num(np.asarray(said, dtype=np.float64), nan=FILLED)
        values[name] = np.where(code < FILLED, given, np.nan)
        origin[name] = np.where(code == MODEL, MODEL, OTHER_STATION).astype(np.int8)
    if "relative_humidity" in values and "air_temperature" in values:
        humid = dew_point_of_humidity(values["air_temperature"], values["relative_humidity"])
        known = values.get("dew_point", np.full(len(axis), np.nan))
        values["dew_point"] = np.where(np.isfinite(known), known, humid)
        origin.setdefault("dew_point", origin["relative_humidity"])
    if "wind_speed" in values:
        theirs = float(raw.attrs.get("height_wind", STANDARD_HEIGHT))
        there_at_ten = at_ten_metres(values["wind_speed"], theirs)
        values["wind_speed"] = there_at_ten / float(at_ten_metres(1.0, height_wind))
    height = raw.attrs.get("elevation")
    above = 0.0 if height is None else float(height) - place.elevation
    name = str(raw.attrs.get("station") or f"second source {number + 1}")
    return Source(name, values, origin, above)


def expected_difference(source: Source) -> float:
    """How much warmer a source is than the course before anything is measured [K]: its height's part."""
    return LAPSE * source.above if abs(source.above) >= LEAST_HEIGHT else 0.0
