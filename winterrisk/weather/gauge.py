"""What a gauge says in the cold: believed, confirmed by the snow depth, or counted as missing."""

from typing import Final, Literal

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import joined, rows
from winterrisk.weather.gauge_depth import BLOCK, Rises, rises
from winterrisk.weather.gauge_melt import melt_pulses
from winterrisk.weather.gauge_rows import about_the_gauge, by_depth, confirmed_zeros, melted, missing_zeros
from winterrisk.weather.humidity import dew_point_of_humidity
from winterrisk.weather.variables import VARIABLES

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Kind = Literal["heated", "unheated", "none"]

WATER: Final = "precipitation"
COLD: Final = 0.5
"""Air temperature under which snow stays in a funnel [degC] (judged: wet snow at 0 to 1 degC may melt in it)."""
COLD_RANGE, MILD_RANGE = (-10.0, -1.0), (1.5, 8.0)
"""Air temperatures between which cold and mild steps are compared [degC] (judged: weather of one season)."""
WET_HOUR, WET_DAY = 0.1, 0.3
"""Water that makes an hour or a day wet [kg m-2] (judged)."""
ENOUGH_HOURS, ENOUGH_DAYS = 30.0, 10.0
"""Wet steps that cold weather should have brought before their lack means something (judged)."""
CATCHES, MISSES = 0.3, 0.1
"""Frequency of wet steps in the cold over that in mild weather [1]: a gauge that catches snow has more than the
first, one that does not less than the second (0.7 to 2.0 in five records with a heated gauge or a person)."""
ENOUGH_RISES: Final = 5
"""Rises of the snow depth that tell whether a gauge catches snow (judged)."""
NOTE: Final = "snow in the cold by the rise of the snow depth where the gauge, not heated, said nothing"


def catches_snow(raw: xr.Dataset) -> bool | None:
    """Whether a record's own signature is that of a gauge that catches snow; None where it is too short to tell.

    Looked at in turn: does water stand beside the rises of the snow depth; are cold hours wet about as often
    as mild ones.

    Args:
        raw (time): hourly or daily.
    """
    temperature, daily = _temperature(raw), raw.attrs.get("step") == "daily"
    water = _water(raw)
    told = rises(raw, temperature)
    snowed = _steps_of_snow(told, temperature < COLD, np.nan_to_num(water), daily)
    if snowed is not None and snowed != 0.5:
        return snowed > 0.5
    known = np.isfinite(water) & np.isfinite(temperature)
    wet = water >= (WET_DAY if daily else WET_HOUR)
    mild = known & (temperature > MILD_RANGE[0]) & (temperature < MILD_RANGE[1])
    cold = known & (temperature > COLD_RANGE[0]) & (temperature < COLD_RANGE[1])
    if not mild.any():
        return None
    expected = float(wet[mild].mean() * cold.sum())
    if expected < (ENOUGH_DAYS if daily else ENOUGH_HOURS):
        return None
    share = float(wet[cold].sum()) / expected
    return True if share >= CATCHES else False if share < MISSES else None


def _steps_of_snow(told: Rises, cold: Flags, water: Array, daily: bool) -> float | None:
    """Near 1 where water stands beside rising snow, near 0 where it does not, 0.5 between; None: too few."""
    up = np.flatnonzero((told.water > 0.0) & cold)
    if not len(up):
        return None
    block = up if daily else up // BLOCK
    caught = np.bincount(block, water[up])[np.unique(block)] > 0.0
    if len(caught) < ENOUGH_RISES:
        return None
    share = float(caught.mean())
    return 1.0 if share > 0.5 else 0.0 if share < 0.2 else 0.5


def believed_water(raw: xr.Dataset, kind: Kind = "heated") -> tuple[xr.Dataset, pd.DataFrame]:
    """The record with only the precipitation its gauge can vouch for, and rows of what was done.

    A gauge that is not heated says 0 while snow gathers in its funnel, and reports it as water when it thaws.
    Its zeros under 0.5 degC are confirmed where the snow depth does not rise, replaced by the water of new snow
    where it rises, and missing where nobody measures the depth. Water within 24 h after a cold spell is melt
    and becomes missing ("bad" in dry air, "suspect" where it may be rain). A record whose own signature
    contradicts the course file is believed over it. Without a gauge all is missing but what the snow depth
    says. Filled by depth counts as measured (origin 0), with a note in the attribute precipitation_note.

    Args:
        raw (time): hourly or daily; kind: of the gauge, as the course file says.
    Returns:
        a copy of raw; findings in the columns of the other checks.
    """
    catches = catches_snow(raw) if kind != "none" else None
    if catches is True or (kind == "heated" and catches is None):
        return raw, about_the_gauge(raw, kind, catches) if kind == "unheated" else rows()
    temperature, told_by = _temperature(raw), [about_the_gauge(raw, kind, catches)]
    cold = np.isfinite(temperature) & (temperature < COLD)
    before = _water(raw) if kind != "none" else np.full(raw.sizes["time"], np.nan)
    told = rises(raw, temperature)
    water = before.copy()
    if kind != "none" and raw.attrs.get("step") != "daily":
        depression = _depression(raw, temperature)
        for pulse in melt_pulses(temperature, before, cold, told.water, told.told, depression):
            water[pulse.steps] = np.nan
            told_by.append(melted(raw, before, pulse))
    silent = cold & ((before == 0.0) | (kind == "none"))
    by_snow = silent & told.told & ~told.nothing
    confirmed, open_ = silent & told.nothing, silent & ~told.told
    water[confirmed] = 0.0
    water[by_snow] = told.water[by_snow]
    water[open_] = np.nan
    told_by += [
        missing_zeros(raw, open_, kind),
        by_depth(raw, by_snow, water),
        confirmed_zeros(raw, confirmed),
    ]
    out = raw.assign({WATER: ("time", water, VARIABLES[WATER].attrs)})
    if by_snow.any():
        out = out.assign_attrs(precipitation_note=NOTE)
    return out, joined(told_by)


def _temperature(raw: xr.Dataset) -> Array:
    """Air temperature (time) [degC]; a day counts by its highest, as it is cold only when all of it is."""
    name = "air_temperature_max" if raw.attrs.get("step") == "daily" else "air_temperature"
    return np.asarray(raw[name].to_numpy(), dtype=np.float64)


def _water(raw: xr.Dataset) -> Array:
    if WATER not in raw:
        return np.full(raw.sizes["time"], np.nan)
    return np.array(raw[WATER].to_numpy(), dtype=np.float64)


def _depression(raw: xr.Dataset, temperature: Array) -> Array:
    if "dew_point" in raw:
        return np.asarray(temperature - raw["dew_point"].to_numpy(), dtype=np.float64)
    if "relative_humidity" in raw:
        humid = np.asarray(raw["relative_humidity"].to_numpy(), dtype=np.float64)
        return temperature - dew_point_of_humidity(temperature, humid)
    return np.full(len(temperature), np.nan)
