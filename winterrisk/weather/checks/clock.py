"""The station's clock against the sun, and against the change to summer time."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.checks.rows import Found, rows
from winterrisk.weather.checks.series import DAY, HOUR, Array, Series, series
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.place import Place
from winterrisk.weather.sun_position import solar_days, solar_hours

OFF: Final = 1.5
"""Hours that the clock must be off to be told [h] (judged: hills and afternoon clouds move the sun's centre by
half an hour)."""
WARMTH_OFF: Final = 3.0
"""The same where only air temperature tells the time [h] (judged: its wave peaks two hours early in an alpine
spring and two late over snow)."""
GOES_ON: Final = 0.75
"""Share of that by which the next months must be off to belong to the same stretch (judged)."""
FEWEST_DAYS: Final = 8
"""Usable days of a month (judged)."""
BRIGHT: Final = 0.3
"""Share of a month's brightest days from which a day's sun is used (judged)."""
LEAST_SUN: Final = 20.0
"""Mean shortwave of a day below which it says nothing [W m-2] (judged)."""
WARMEST: Final = 15.0
"""Solar hour about which the daily wave of air temperature is highest [h] (judged: 14 to 16)."""
LEAST_WAVE: Final = 2.5
"""Amplitude of the mean daily wave below which air temperature tells no time [K] (judged)."""
CHANGE_DAYS: Final = 20
"""Days on either side of a change to summer time that are compared [d] (judged)."""
ONE_HOUR: Final = (0.6, 1.4)
"""Shift of the sun's centre that is one hour [h] (judged)."""


def clock_off(raw: xr.Dataset, place: Place) -> pd.DataFrame:
    """Months in which the station's clock is more than 1.5 h off: a note.

    Where shortwave is measured: the centre of each bright day's sun against solar noon. Else the peak of the
    mean daily wave of air temperature against 15 h solar time, and 3 h are asked for.

    Args:
        raw (time): hourly; place: its longitude.
    Reference: judged.
    """
    sun = series(raw, "shortwave_down")
    one = sun if sun is not None else series(raw, "air_temperature")
    if one is None or one.daily:
        return rows()
    month = one.times.astype("datetime64[M]").astype(np.int64)
    by_sun = sun is not None
    off = _sun_off(one, month, place) if by_sun else _wave_off(one, month, place)
    tell, found = Telling.of(raw), []
    least = OFF if by_sun else WARMTH_OFF
    for first, last, hours in _alike(off, least):
        here = np.flatnonzero((month >= first) & (month <= last))
        way = "late" if hours > 0 else "early"
        thing = "the sun" if by_sun else "the day's warmth"
        text = f"{thing} peaks {abs(hours):.1f} h too {way} by this clock"
        move = "check station.utc_offset, station.label and the logger's clock"
        time, until = one.times[here[0]], one.until(int(here[-1]))
        words = tell.sentence(time, until, text, move)
        found.append(Found(one.name, time, until, round(hours, 2), least, "note", "clock_off", words))
    return rows(found)


def summer_time(raw: xr.Dataset, place: Place) -> pd.DataFrame:
    """A note where the file seems to run on summer time: an hour lacks in spring, or the sun shifts by one.

    Args:
        raw (time): hourly; place: its longitude and timezone.
    Reference: judged.
    """
    air = series(raw, "air_temperature")
    if air is None or air.daily:
        return rows()
    spring, autumn = clock_changes(air.times, place.timezone)
    tell, found = Telling.of(raw), []
    lacking = [(change, at) for change in spring for at in _hole_near(air, change)]
    shifts = _sun_shifts(raw, spring, autumn, place)
    shifted = bool(len(shifts)) and ONE_HOUR[0] <= float(np.median(shifts)) <= ONE_HOUR[1]
    move = "give the file in standard time all year and set station.utc_offset for it"
    if lacking and len(lacking) == len(spring) and (shifted or not len(shifts)):
        at = lacking[-1][1]
        time = air.times[at]
        text = f"one hour lacks on the day the clocks go forward ({len(lacking)} of {len(spring)} springs)"
        words = tell.sentence(time, time + HOUR, text, move)
        found.append(
            Found(
                "air_temperature", time, time + HOUR, float(len(lacking)), 0.0, "note", "summer_time", words
            )
        )
    elif shifted:
        change = np.concatenate([spring, autumn]).max()
        text = f"the sun shifts by {float(np.median(shifts)):.1f} h where the clocks change"
        words = tell.sentence(change, change + HOUR, text, move)
        value = float(np.median(shifts))
        found.append(
            Found("shortwave_down", change, change + HOUR, value, ONE_HOUR[0], "note", "summer_time", words)
        )
    return rows(found)


def clock_changes(
    times: NDArray[np.datetime64], timezone: str
) -> tuple[NDArray[np.datetime64], NDArray[np.datetime64]]:
    """UTC hours at which the local clocks went forward, and back, within the record."""
    hours = pd.date_range(times[0], times[-1], freq="6h")
    offset = hours.tz_localize("UTC").tz_convert(timezone).tz_localize(None) - hours
    moved = np.flatnonzero(np.diff(offset.to_numpy().astype("timedelta64[m]").astype(np.int64)))
    changes = []
    for at in moved:
        fine = pd.date_range(hours[at], hours[at + 1], freq="h")
        there = fine.tz_localize("UTC").tz_convert(timezone).tz_localize(None) - fine
        jump = np.diff(there.to_numpy().astype("timedelta64[m]").astype(np.int64))
        k = int(np.flatnonzero(jump)[0])
        changes.append((fine[k + 1].to_datetime64(), jump[k] > 0))
    forward = np.array([t for t, ahead in changes if ahead], dtype="datetime64[ns]")
    back = np.array([t for t, ahead in changes if not ahead], dtype="datetime64[ns]")
    return forward, back


def _sun_off(sun: Series, month: NDArray[np.int64], place: Place) -> dict[int, float]:
    """Month -> hours by which the sun's centre lies after solar noon."""
    day, centre, mean = sun_centres(sun, place)
    of_day = (np.datetime64("1970-01-01") + day * DAY).astype("datetime64[M]").astype(np.int64)
    off = {}
    for m in np.unique(month):
        here = of_day == m
        if not here.any():
            continue
        bright = here & (mean >= max(LEAST_SUN, BRIGHT * float(np.quantile(mean[here], 0.9))))
        if bright.sum() >= FEWEST_DAYS:
            off[int(m)] = float(np.median(centre[bright]))
    return off


def sun_centres(sun: Series, place: Place) -> tuple[NDArray[np.int64], Array, Array]:
    """Solar days without a missing hour: number, centre of the sun after solar noon [h], mean [W m-2]."""
    number = solar_days(sun.times, place.longitude)
    hour = solar_hours(sun.times, place.longitude) - 24.0 * number - 12.0
    at = number - number[0]
    light = np.maximum(np.nan_to_num(sun.values), 0.0)
    known = np.bincount(at, np.isfinite(sun.values))
    total, moment = np.bincount(at, light), np.bincount(at, light * hour)
    used = np.flatnonzero((known == 24) & (total > 0))
    day = used + number[0]
    centre = moment[used] / total[used] + _equation_of_time(day)
    return day, centre, total[used] / 24.0


def _equation_of_time(day: NDArray[np.int64]) -> Array:
    """Sundial minus mean solar time [h] of days since 1970. Reference: Spencer (1971), as in pvlib."""
    dates = np.datetime64("1970-01-01") + day * DAY
    angle = 2 * np.pi * ((dates - dates.astype("datetime64[Y]")) / DAY) / 365.0
    minutes = 229.18 * (
        0.0000075
        + 0.001868 * np.cos(angle)
        - 0.032077 * np.sin(angle)
        - 0.014615 * np.cos(2 * angle)
        - 0.040849 * np.sin(2 * angle)
    )
    return minutes / 60.0


def _wave_off(air: Series, month: NDArray[np.int64], place: Place) -> dict[int, float]:
    """Month -> hours by which the mean daily wave of air temperature peaks after 15 h solar time."""
    hour = solar_hours(air.times, place.longitude)
    daily_mean = pd.Series(air.values).rolling(24, center=True, min_periods=20).mean().to_numpy(np.float64)
    wave = air.values - daily_mean
    known = np.isfinite(wave)
    turn = np.exp(-2j * np.pi * hour / 24.0)
    at = month - month[0]
    size = int(at[-1]) + 1
    count = np.bincount(at[known], minlength=size)
    parts = [np.bincount(at[known], (wave * part)[known], minlength=size) for part in (turn.real, turn.imag)]
    sums = parts[0] + 1j * parts[1]
    amplitude = 2 * np.abs(sums) / np.maximum(count, 1)
    peak = -np.angle(sums) * 24.0 / (2 * np.pi)
    off = (peak - WARMEST + 12.0) % 24.0 - 12.0
    good = (count >= 24 * FEWEST_DAYS) & (amplitude >= LEAST_WAVE)
    return {int(k + month[0]): float(off[k]) for k in np.flatnonzero(good)}


def _alike(off: dict[int, float], least: float) -> list[tuple[int, int, float]]:
    """First and last month and the median of every run of months that are off the same way."""
    spans: list[tuple[int, int, list[float]]] = []
    going = False
    for m, hours in sorted(off.items()):
        going = going and abs(hours) > GOES_ON * least and hours * spans[-1][2][-1] > 0
        if going:
            spans[-1] = (spans[-1][0], m, [*spans[-1][2], hours])
        elif abs(hours) > least:
            spans.append((m, m, [hours]))
            going = True
    return [(a, b, float(np.median(h))) for a, b, h in spans]


def _hole_near(air: Series, change: np.datetime64) -> list[int]:
    """Position of a single missing hour within 12 h of a change of clocks, where it is the only one."""
    known = np.isfinite(air.values)
    lo, hi = np.searchsorted(air.times, [change - 12 * HOUR, change + 13 * HOUR])
    missing = lo + np.flatnonzero(~known[lo:hi])
    return [int(missing[0])] if len(missing) == 1 else []


def _sun_shifts(
    raw: xr.Dataset, spring: NDArray[np.datetime64], autumn: NDArray[np.datetime64], place: Place
) -> Array:
    """Shift of the sun's centre to later hours at every spring's change, to earlier ones at every autumn's
    [h]."""
    sun = series(raw, "shortwave_down")
    if sun is None:
        return np.zeros(0)
    day, centre, mean = sun_centres(sun, place)
    shifts = []
    for change, sign in [(t, 1.0) for t in spring] + [(t, -1.0) for t in autumn]:
        at = int((change - np.datetime64("1970-01-01")) / DAY)
        before = (day < at) & (day >= at - CHANGE_DAYS) & (mean > LEAST_SUN)
        after = (day > at) & (day <= at + CHANGE_DAYS) & (mean > LEAST_SUN)
        if min(before.sum(), after.sum()) >= FEWEST_DAYS:
            shifts.append(sign * (np.median(centre[after]) - np.median(centre[before])))
    return np.array(shifts)
