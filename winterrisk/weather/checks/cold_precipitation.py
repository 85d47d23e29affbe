"""Rain and water where the air is too cold for it."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import Array, Flags, Series, nearby, series
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gaps import runs

TOO_COLD: Final = -35.0
"""Air too cold for precipitation that a gauge could measure [degC] (judged)."""
HARD_COLD: Final = -15.0
"""Air in which rain is not to be believed [degC] (judged)."""
PULSE_HOUR, PULSE_DAY = 2.0, 8.0
"""Precipitation of an hour and of a day that hard cold hardly brings [kg m-2] (judged)."""
RISEN: Final = 0.005
"""Rise of the snow depth that confirms snowfall [m] (judged)."""
WATER: Final = "precipitation"


def precipitation_in_deep_cold(raw: xr.Dataset) -> pd.DataFrame:
    """Precipitation below -35 degC: suspect, wind or frost in the gauge.

    Args:
        raw (time): hourly, or daily (by the day's highest).
    Reference: judged.
    """
    water, air = series(raw, WATER), _warmest(raw)
    if water is None or air is None:
        return rows()
    with np.errstate(invalid="ignore"):
        flag = (water.values > 0.0) & (air < TOO_COLD)
    return _told(
        Telling.of(raw),
        water,
        air,
        flag,
        TOO_COLD,
        "suspect",
        "precipitation_in_deep_cold",
        "{water} of precipitation at {air}, too cold for it; kept",
        "look for drift or frost in the gauge",
    )


def rain_in_hard_cold(raw: xr.Dataset) -> pd.DataFrame:
    """Rain, freezing rain or a burst of water below -15 degC with nothing else agreeing: unconfirmed.

    Freezing rain or precipitation that a column calls rain; else 2 mm in an hour (8 mm in a day) while a
    snow depth is measured and does not rise. A gauge that melts out, a shaken bucket or a wrong temperature
    look like this.

    Args:
        raw (time): hourly, or daily (by the day's highest).
    Reference: judged.
    """
    water, air = series(raw, WATER), _warmest(raw)
    if water is None or air is None:
        return rows()
    wet = water.values
    with np.errstate(invalid="ignore"):
        cold = air < HARD_COLD
        liquid = cold & _called_rain(raw, wet)
        pulse = cold & (wet >= (PULSE_DAY if water.daily else PULSE_HOUR)) & _depth_stays(raw, len(wet))
    tell = Telling.of(raw)
    move = "read the gauge and look at the ground; until then this night is unconfirmed"
    told = (
        (liquid, "{water} called rain at {air}; kept, unconfirmed"),
        (pulse & ~liquid, "{water} at {air} while the snow depth does not rise; kept, unconfirmed"),
    )
    tables = [
        _told(tell, water, air, flag, HARD_COLD, "unconfirmed", "rain_in_hard_cold", text, move)
        for flag, text in told
    ]
    return tables[0] if not len(tables[1]) else pd.concat(tables, ignore_index=True)


def _warmest(raw: xr.Dataset) -> Array | None:
    one = series(raw, "air_temperature_max" if raw.attrs.get("step") == "daily" else "air_temperature")
    return None if one is None else one.values


def _called_rain(raw: xr.Dataset, wet: Array) -> Flags:
    share, glaze = series(raw, "snow_fraction"), series(raw, "freezing_rain")
    flag = np.zeros(len(wet), dtype=bool)
    if share is not None:
        flag |= (wet > 0.0) & (share.values < 0.5)
    if glaze is not None:
        flag |= glaze.values > 0.0
    return flag


def _depth_stays(raw: xr.Dataset, size: int) -> Flags:
    """Whether a measured snow depth did not rise from 1 before to 6 h (1 day) after each time."""
    depth = series(raw, "snow_depth")
    if depth is None:
        return np.zeros(size, dtype=bool)
    ahead = (0, 1) if depth.daily else range(7)
    later = np.fmax.reduce([nearby(depth.values, k) for k in ahead])
    return later - nearby(depth.values, -1) < RISEN


def _told(
    tell: Telling,
    water: Series,
    air: Array,
    flag: Flags,
    limit: float,
    verdict: Verdict,
    check: str,
    text: str,
    move: str,
) -> pd.DataFrame:
    found = []
    for first, length in runs(flag):
        at = first + int(np.argmax(water.values[first : first + length]))
        value, until = float(water.values[at]), water.until(first + length - 1)
        said = text.format(water=tell.value(WATER, value), air=tell.value("air_temperature", float(air[at])))
        words = tell.sentence(water.times[first], until, said, move)
        found.append(Found(WATER, water.times[first], until, value, limit, verdict, check, words))
    return rows(found)
