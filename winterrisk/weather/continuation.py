"""From the last known hour into a past winter, without a jump."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.longwave import black_body
from winterrisk.weather.record import NOT_CARRIED, Record
from winterrisk.weather.solar import sun_of_date
from winterrisk.weather.winters import Following

Array = NDArray[np.float64]
Values = dict[str, Array]
Origins = dict[str, NDArray[np.int8]]

BLEND: Final = 3.0
"""Time in which the difference at the join falls to a third [h] (judged)."""
BLEND_ENDS: Final = 24
"""Hours after the join from which a path is the past winter's weather alone [h] (judged)."""
BLENDED = ("air_temperature", "dew_point")


def join_weights(length: int) -> Array:
    """Share (hour after the join) of the difference at the join that is still felt [1]; 0 from 24 h on."""
    k = np.arange(1, length + 1)
    rest = np.exp(-BLEND_ENDS / BLEND)
    return np.where(k < BLEND_ENDS, np.maximum((np.exp(-k / BLEND) - rest) / (1.0 - rest), 0.0), 0.0)


def joined(
    source: dict[str, Array], before: dict[str, float], there_before: dict[str, float], warmer: float = 0.0
) -> dict[str, Array]:
    """Another winter's hours, drawn to the last known temperature and dew point.

    Args:
        source: values (hour) by variable; before: last known values; there_before: the source's at that hour;
            warmer [K]: by which temperature and dew point are raised once the join is past.
    """
    out = dict(source)
    weights = join_weights(len(source["air_temperature"]))
    for name in BLENDED:
        raised = source[name] + warmer
        out[name] = raised + weights * (before[name] - there_before[name] - warmer)
    out["dew_point"] = np.minimum(out["dew_point"], out["air_temperature"])
    glow = black_body(out["air_temperature"]) / black_body(source["air_temperature"])
    out["longwave_down"] = source["longwave_down"] * glow
    return out


def after_past_winter(
    values: Values,
    origin: Origins,
    record: Record,
    follows: list[Following],
    times: NDArray[np.datetime64],
    clear: Array,
    code: int,
) -> tuple[Values, Origins]:
    """Values (time, path) and origins (time) with a past winter's weather at `times` behind what is known.

    Args:
        record: that holds the past winters; follows: one past winter a path.
        times (hour): UTC, right after the known; clear (hour) [W m-2]; code: origin of the new hours.
    """
    first = record.at(times[0])
    paths = []
    for path, following in enumerate(follows):
        begin = first - following.shift
        there = slice(begin, begin + len(times))
        source = {n: record.values[n][there] for n in values if n not in NOT_CARRIED}
        source["shortwave_down"] = sun_of_date(source["shortwave_down"], record.clear[there], clear)
        before = {n: float(values[n][-1, path]) for n in BLENDED}
        there_before = {n: float(record.values[n][begin - 1]) for n in BLENDED}
        paths.append(joined(source, before, there_before, following.warmer))
    unseen = np.full((len(times), len(follows)), np.nan)
    later = {n: unseen if n in NOT_CARRIED else np.stack([p[n] for p in paths], axis=1) for n in values}
    return _behind(values, origin, later, code)


def after_forecast(
    values: Values, origin: Origins, forecast: xr.Dataset, end: np.datetime64, code: int
) -> tuple[Values, Origins]:
    """Values (time, path) and origins (time) with a forecast's hours from `end` on; its members take turns.

    Args:
        forecast (time[, member]): complete, hourly; end: UTC hour after the last known one; code: its origin.
    Raises:
        ValueError: the forecast does not begin where the known hours end.
    """
    new = forecast.isel(time=np.flatnonzero(forecast["time"].to_numpy() >= end))
    if not new.sizes["time"]:
        return values, origin
    known_until = end
    if new["time"].to_numpy()[0] != known_until:
        raise ValueError(f"forecast begins {new['time'].to_numpy()[0]}, expected {known_until}")
    count = values["air_temperature"].shape[1]
    later = {}
    for name in values:
        given = new[name].to_numpy() if name in new and name not in NOT_CARRIED else None
        if given is None:
            later[name] = np.full((new.sizes["time"], count), np.nan)
        elif given.ndim == 1:
            later[name] = np.repeat(given[:, None], count, axis=1)
        else:
            later[name] = (
                new[name].transpose("time", "member").to_numpy()[:, np.arange(count) % given.shape[-1]]
            )
    return _behind(values, origin, later, code)


def _behind(values: Values, origin: Origins, later: Values, code: int) -> tuple[Values, Origins]:
    together = {n: np.concatenate([values[n], later[n]]) for n in values}
    fresh = np.full(len(later["air_temperature"]), code, dtype=np.int8)
    return together, {n: np.concatenate([o, fresh]) for n, o in origin.items()}
