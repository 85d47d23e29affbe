"""Snow depths that jump, and snow in air too warm for it."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import DIGITS, HOUR, Array, Series, nearby, series
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gaps import runs

FALL: Final = 0.5
"""Share of the depth that cannot go within an hour [1] (judged)."""
LEAST_DEPTH: Final = 0.10
"""Depth from which a fall counts [m]: rounding and thin snow go fast (judged)."""
RISE: Final = 0.15
"""Rise of an hour that snowfall does not make [m] (judged)."""
DRY: Final = 0.1
"""Precipitation of the hours about a rise below which it was dry [kg m-2] (judged)."""
HOURS_ABOUT: Final = 3
RETURN_WITHIN: Final = 24
"""Hours within which the way back makes the whole excursion bad [h] (judged)."""
RETURN_SHARE: Final = 0.3
"""Share of the jump that may be left when it counts as gone back [1] (judged)."""
MANY: Final = 12
"""Jumps in a year of the record from which the sensor as a whole is told, and nothing is left out (judged)."""
WARM: Final = 7.0
"""Lowest temperature of a day from which no snow falls [degC] (Durre et al. 2010, from memory)."""
NEW_SNOW: Final = 0.02
"""Rise of a day that counts as snowfall [m] (judged)."""
DEPTH: Final = "snow_depth"
YEAR: Final = np.timedelta64(8766, "h")


def depth_jumps(raw: xr.Dataset) -> pd.DataFrame:
    """Snow depth that halves within an hour, or rises by more than 15 cm in an hour without precipitation.

    A record that jumps more than twelve times a year gets one row and is kept whole. Else, where the depth
    comes back within 24 h the hours between are bad: something stood under the sensor, or its
    echo was lost. Where it stays, the hour is suspect: wind, a shovel or a moved sensor.

    Args:
        raw (time): hourly.
    Reference: judged.
    """
    one = series(raw, DEPTH)
    if one is None or one.daily:
        return rows()
    tell, found, seen = Telling.of(raw), [], -1
    before = nearby(one.values, -1)
    with np.errstate(invalid="ignore"):
        fell = (before >= LEAST_DEPTH - DIGITS) & (one.values < (1 - FALL) * before - DIGITS)
        rose = one.values - before > RISE + DIGITS
    rose &= _dry_about(raw, len(one.values))
    jumps = np.flatnonzero(fell | rose)
    if len(jumps) > MANY * max(len(one.known) * HOUR / YEAR, 1.0):
        text = f"snow depth jumps {len(jumps)} times, up and down; kept"
        move = "do not trust this snow sensor before somebody has looked at it"
        first, last = int(jumps[0]), int(jumps[-1]) + 1
        return rows([_row(tell, one, first, last, float(MANY), "suspect", "depth_jump", text, move)])
    for at in jumps:
        if at <= seen:
            continue
        back = _way_back(one.values, int(at))
        verdict: Verdict = "suspect" if back is None else "bad"
        past, seen = (int(at) + 1, int(at)) if back is None else (back, back)
        limit = -FALL if fell[at] else RISE
        text = f"snow depth from {tell.value(DEPTH, before[at])} to {tell.value(DEPTH, one.values[at])} within an hour"
        text += "" if fell[at] else " without precipitation"
        text += "; kept" if back is None else " and back; left out"
        move = "look under the snow sensor, and note it if snow was cleared or blown there"
        found.append(_row(tell, one, int(at), past, limit, verdict, "depth_jump", text, move))
    return rows(found)


def snow_in_warm_air(raw: xr.Dataset) -> pd.DataFrame:
    """Days with new snow though the air never fell below 7 degC: the depth is bad, rain called snow is
    suspect.

    Args:
        raw (time): daily, or hourly (24 h back from each hour).
    Reference: Durre et al. (2010), snowfall and temperature; the number from memory.
    """
    lowest = _lowest_of_day(raw)
    if lowest is None:
        return rows()
    tell, found = Telling.of(raw), []
    depth, share = series(raw, DEPTH), series(raw, "snow_fraction")
    water = series(raw, "precipitation")
    with np.errstate(invalid="ignore"):
        warm = lowest >= WARM
        if depth is not None:
            risen = depth.values - nearby(depth.values, -1 if depth.daily else -24)
            for first, length in runs(warm & (risen >= NEW_SNOW - DIGITS)):
                last = first + length
                text = (
                    f"{tell.value(DEPTH, float(risen[first:last].max()))} of new snow on a day that stayed above "
                    f"{tell.value('air_temperature', float(lowest[first:last].min()))}; left out"
                )
                move = "look for grass or an object under the snow sensor"
                found.append(_row(tell, depth, first, last, WARM, "bad", "snow_in_warm_air", text, move))
        if share is not None and water is not None:
            for first, length in runs(warm & (share.values > 0.5) & (water.values > 0.0)):
                text = "precipitation called snow in air above 7 degC".replace(
                    "7 degC", tell.value("air_temperature", WARM)
                )
                move = "check the column that tells rain from snow"
                found.append(
                    _row(tell, share, first, first + length, WARM, "suspect", "snow_in_warm_air", text, move)
                )
    return rows(found)


def _row(
    tell: Telling,
    one: Series,
    first: int,
    past: int,
    limit: float,
    verdict: Verdict,
    check: str,
    text: str,
    move: str,
) -> Found:
    until = one.until(past - 1)
    words = tell.sentence(one.times[first], until, text, move)
    return Found(one.name, one.times[first], until, float(one.values[first]), limit, verdict, check, words)


def _way_back(values: Array, at: int) -> int | None:
    """Position at which the depth has come back to what it was before `at`, by a jump."""
    start, jump = values[at - 1], values[at] - values[at - 1]
    for back in range(at + 1, min(at + RETURN_WITHIN + 1, len(values))):
        if np.isfinite(values[back]) and abs(values[back] - start) <= RETURN_SHARE * abs(jump):
            step = values[back] - values[back - 1]
            return back if abs(step) >= RETURN_SHARE * abs(jump) else None
    return None


def _dry_about(raw: xr.Dataset, size: int) -> np.ndarray:
    water = series(raw, "precipitation")
    if water is None:
        return np.ones(size, dtype=bool)
    about = [np.nan_to_num(nearby(water.values, k)) for k in range(-HOURS_ABOUT, HOURS_ABOUT + 1)]
    return np.sum(about, axis=0) < DRY


def _lowest_of_day(raw: xr.Dataset) -> Array | None:
    low = series(raw, "air_temperature_min")
    if low is not None and low.daily:
        return low.values
    air = series(raw, "air_temperature")
    if air is None or air.daily:
        return None
    known = pd.Series(air.values).rolling(24, min_periods=20).min()
    return known.to_numpy(np.float64)
