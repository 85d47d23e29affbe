"""Single values that alone would switch a way of dying on, with nothing else to confirm them."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.neighbours import agreement
from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import Array, Flags, Series, nearby, series
from winterrisk.weather.checks.telling import Telling, named

THAW: Final = 1.0
"""Air temperature that counts as thaw [degC] (as for turns of freeze and thaw)."""
FROZEN: Final = 0.0
"""Hours around a lone thaw hour must all be below this [degC] (judged)."""
AROUND: Final = 3
"""Hours on either side that must disagree [h] (judged)."""
HARD_FREEZE: Final = -4.0
"""Air temperature that counts as a hard freeze [degC] (judged)."""
NO_FREEZE: Final = -1.0
"""Hours around a lone hard freeze must all be above this [degC] (judged)."""
SINCE_THAW: Final = 72
"""Hours after a thaw in which a hard freeze matters most [h] (judged)."""
HEAVY: Final = 4.0
"""Rain of an hour that can fill a low spot [kg m-2] (judged)."""
COLD: Final = 2.0
"""Air below which such rain meets frozen ground [degC] (judged)."""
DRY_AIR: Final = 3.0
"""Dew point that far below the air speaks against rain [K] (judged: 1.1 K is usual in rain)."""
WET: Final = 0.2
"""Precipitation within 3 h by which a second source confirms rain [kg m-2] (judged)."""
RISEN: Final = 0.005
"""Rise of the snow depth that confirms snowfall [m] (judged)."""
DAY_APART: Final = 15.0
"""Difference from both neighbouring days of a lone warm or cold day [K] (judged)."""
AIR: Final = "air_temperature"


def lone_values(raw: xr.Dataset, second: xr.Dataset | None = None) -> pd.DataFrame:
    """Lone hours (days) that would start a thaw, a flood or a hard freeze on their own: unconfirmed.

    An hour above +1 degC among frozen hours; an hour of 4 mm in the cold between dry hours in dry air without
    new snow; an hour at -4 degC or below among mild ones within three days of a thaw. Days: 15 K above or
    below both neighbours, across the same thresholds. The value is kept; the night is marked. A second source
    within 5 K (for rain: wet too) confirms it, and no row is given.

    Args:
        raw (time); second (time): on the same times, or None.
    Reference: judged: a wrong spike near a threshold is the danger of an otherwise good record.
    """
    daily = raw.attrs.get("step") == "daily"
    return _lone_days(raw, second) if daily else _lone_hours(raw, second)


def _lone_hours(raw: xr.Dataset, second: xr.Dataset | None) -> pd.DataFrame:
    air = series(raw, AIR)
    if air is None:
        return rows()
    beside = np.array([nearby(air.values, k) for k in range(-AROUND, AROUND + 1) if k])
    known = np.isfinite(beside).all(axis=0)
    with np.errstate(invalid="ignore"):
        thaw = known & (air.values > THAW) & (beside < FROZEN).all(axis=0)
        freeze = known & (air.values <= HARD_FREEZE) & (beside > NO_FREEZE).all(axis=0)
        thawed = pd.Series(air.values > THAW).rolling(SINCE_THAW, min_periods=1).max().to_numpy() > 0
    tell, agreed = Telling.of(raw), agreement(raw, second, AIR)
    found = [
        *_told(tell, air, thaw, agreed, THAW, "a single hour of thaw among frozen ones"),
        *_told(tell, air, freeze & thawed, agreed, HARD_FREEZE, "a single hour of hard freeze after a thaw"),
    ]
    water = series(raw, "precipitation")
    if water is not None:
        flag = _lone_rain(raw, water, air.values)
        found += _told(
            tell,
            water,
            flag,
            _wet_too(raw, second),
            HEAVY,
            "a single hour of heavy precipitation in the cold",
        )
    return rows(found)


def _lone_rain(raw: xr.Dataset, water: Series, air: Array) -> Flags:
    wet = water.values
    beside = np.array([nearby(wet, k) for k in range(-AROUND, AROUND + 1) if k])
    dew, depth = series(raw, "dew_point"), series(raw, "snow_depth")
    with np.errstate(invalid="ignore"):
        flag = (wet >= HEAVY) & (air < COLD) & ~(beside > 0.0).any(axis=0)
        if dew is not None:
            flag &= ~(air - dew.values < DRY_AIR)
        if depth is not None:
            later = np.fmax.reduce([nearby(depth.values, k) for k in range(AROUND + 1)])
            flag &= ~(later - nearby(depth.values, -1) >= RISEN)
    return flag


def _lone_days(raw: xr.Dataset, second: xr.Dataset | None) -> pd.DataFrame:
    tell, found = Telling.of(raw), []
    for name, sign, limit, text in (
        ("air_temperature_max", 1.0, THAW, "a single day of thaw among frozen ones"),
        ("air_temperature_min", -1.0, HARD_FREEZE, "a single day of hard freeze among mild ones"),
    ):
        one = series(raw, name)
        if one is None:
            continue
        before, after = nearby(one.values, -1), nearby(one.values, 1)
        with np.errstate(invalid="ignore"):
            apart = np.minimum(sign * (one.values - before), sign * (one.values - after)) >= DAY_APART
            nearest = np.maximum(sign * before, sign * after)
            flag = apart & (sign * one.values > sign * limit)
            flag &= nearest < (FROZEN if sign > 0 else -NO_FREEZE)
        found += _told(tell, one, flag, agreement(raw, second, name), limit, text)
    return rows(found)


def _told(tell: Telling, one: Series, flag: Flags, confirmed: Flags, limit: float, text: str) -> list[Found]:
    found = []
    for at in np.flatnonzero(flag & ~confirmed):
        value = float(one.values[at])
        said = f"{named(one.name)} {tell.value(one.name, value)}: {text}; kept, unconfirmed"
        move = "look at the green, or compare a neighbouring station"
        words = tell.sentence(one.times[at], one.until(at), said, move)
        found.append(
            Found(one.name, one.times[at], one.until(at), value, limit, "unconfirmed", "lone_value", words)
        )
    return found


def _wet_too(raw: xr.Dataset, second: xr.Dataset | None) -> Flags:
    """Whether the second source was wet within 3 h (time)."""
    other = None if second is None else series(second, "precipitation")
    if other is None:
        return np.zeros(raw.sizes["time"], dtype=bool)
    about = [np.nan_to_num(nearby(other.values, k)) for k in range(-AROUND, AROUND + 1)]
    return np.asarray(np.sum(about, axis=0) >= WET)
