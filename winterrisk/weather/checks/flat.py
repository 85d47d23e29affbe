"""Sensors that stand still: flat lines in hours, streaks in days, the same day written twice."""

from collections.abc import Iterator
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.series import DIGITS, HOUR, Array, Series, finest_step, nearby, series
from winterrisk.weather.checks.telling import Telling, named
from winterrisk.weather.gaps import runs

STILL: Final = 0.05
"""Range of values that counts as no change [K] (judged)."""
ZERO_BAND: Final = 0.2
"""Temperatures within this of 0 degC may stand still: melting ice holds them there [K] (Zahumensky 2004)."""
HOURS: Final = {"air_temperature": (8, 18), "dew_point": (18, 48)}
"""Hours without a change that are suspect, and bad (judged): moist air may keep its water for a day."""
COARSE: Final = 0.4
"""Rounding of a record from which more hours are asked for [K]: whole degrees stay the same for long."""
COARSE_HOURS: Final = (24, 48)
"""The same for whole degrees (judged)."""
LONGEST_HOLE: Final = 3
"""Missing hours across which a flat line goes on [h] (judged)."""
SUSPECT_DAYS, BAD_DAYS = 10, 15
"""Days with the same extreme that are suspect (judged), and bad (NCDC page on Durre et al. 2010: 15 to 20)."""
CALM_HOURS: Final = 72
"""Hours of exactly no wind that make an anemometer suspect [h] (judged)."""
WIND_HOURS: Final = 12
"""Hours of the same wind above calm that make it suspect [h] (screening guide: 12 h within 0.5 m s-1; here no
change at all)."""


def flat_lines(raw: xr.Dataset) -> pd.DataFrame:
    """Hours in which air temperature stood still: 8 h suspect, 18 h bad (dew point 18 and 48); not at 0 degC.

    Melting ice and the freezing of wet ground hold a sensor within 0.2 K of zero for days; that is weather.
    In a record of whole degrees 24 h and 48 h are asked for.

    Args:
        raw (time): hourly.
    Reference: Zahumensky (2004) for the exemption; hours judged.
    """
    tell, found = Telling.of(raw), []
    for name, fine_hours in HOURS.items():
        one = series(raw, name)
        if one is None or one.daily:
            continue
        coarse = finest_step(one.values) >= COARSE
        suspect, bad = np.maximum(fine_hours, COARSE_HOURS).tolist() if coarse else fine_hours
        for first, last, count in _still(one, STILL, suspect):
            value = float(one.values[first])
            if np.nanmax(np.abs(one.values[first : last + 1])) <= ZERO_BAND + DIGITS:
                continue
            verdict: Verdict = "bad" if count >= bad else "suspect"
            text = (
                f"{named(name)} {tell.value(name, value)} for {count} h without a change"
                f"{': a stuck sensor; left out' if verdict == 'bad' else '; kept'}"
            )
            until = one.until(last)
            words = tell.sentence(one.times[first], until, text, "look at the sensor and its cable")
            limit = float(bad if verdict == "bad" else suspect)
            found.append(Found(name, one.times[first], until, value, limit, verdict, "flat_line", words))
    return rows(found)


def dead_calm(raw: xr.Dataset) -> pd.DataFrame:
    """Hours of exactly the same wind, or of none at all for three days: a frozen or broken anemometer,
    suspect.

    Args:
        raw (time): hourly.
    Reference: judged.
    """
    one = series(raw, "wind_speed")
    if one is None or one.daily:
        return rows()
    tell, found = Telling.of(raw), []
    coarse = finest_step(one.values) >= COARSE
    longest = COARSE_HOURS[0] if coarse else WIND_HOURS
    for first, last, count in _still(one, DIGITS, min(longest, CALM_HOURS)):
        value = float(one.values[first])
        limit = CALM_HOURS if value < DIGITS else longest
        if count < limit:
            continue
        text = f"wind {tell.value('wind_speed', value)} for {count} h without a change; kept"
        until = one.until(last)
        words = tell.sentence(one.times[first], until, text, "look whether the anemometer is iced or broken")
        found.append(
            Found(one.name, one.times[first], until, value, float(limit), "suspect", "dead_calm", words)
        )
    return rows(found)


def streaks(raw: xr.Dataset) -> pd.DataFrame:
    """Days with the same highest or lowest: ten in a row suspect, fifteen bad.

    Args:
        raw (time): daily.
    Reference: NCDC page on the daily checks of Durre et al. (2010); ten days judged.
    """
    tell, found = Telling.of(raw), []
    for name in ("air_temperature_max", "air_temperature_min"):
        one = series(raw, name)
        if one is None:
            continue
        for first, last, count in _still(one, DIGITS, SUSPECT_DAYS):
            verdict: Verdict = "bad" if count >= BAD_DAYS else "suspect"
            value, until = float(one.values[first]), one.until(last)
            text = (
                f"{named(name)} {tell.value(name, value)} on {count} days in a row"
                f"{': a stuck sensor; left out' if verdict == 'bad' else '; kept'}"
            )
            words = tell.sentence(one.times[first], until, text, "look at the sensor and its cable")
            limit = float(BAD_DAYS if verdict == "bad" else SUSPECT_DAYS)
            found.append(Found(name, one.times[first], until, value, limit, verdict, "streak", words))
    return rows(found)


def repeated_days(raw: xr.Dataset) -> pd.DataFrame:
    """Stretches of 24 h or more that repeat the 24 h before, hour by hour: bad, the same hours written twice.

    Args:
        raw (time): hourly.
    Reference: judged.
    """
    one = series(raw, "air_temperature")
    if one is None or one.daily:
        return rows()
    tell, found = Telling.of(raw), []
    before = nearby(one.values, -24)
    with np.errstate(invalid="ignore"):
        same = np.abs(one.values - before) < DIGITS
    for first, length in runs(same):
        stretch = one.values[first : first + length]
        if length < 24 or np.ptp(stretch) <= 2 * ZERO_BAND + finest_step(one.values):
            continue
        text = (
            f"the {length} h before {tell.moment(one.times[first])} stand here again, hour by hour; left out"
        )
        until = one.until(first + length - 1)
        move = "export these days again and keep each hour once"
        words = tell.sentence(one.times[first], until, text, move)
        found.append(
            Found(one.name, one.times[first], until, float(length), 24.0, "bad", "repeated_day", words)
        )
    return rows(found)


def _still(one: Series, width: float, least: int) -> Iterator[tuple[int, int, int]]:
    """First and last position and number of values of every stretch of at least `least` values within
    `width`."""
    known = one.known
    values = one.values[known]
    hole = LONGEST_HOLE if one.step == HOUR else 0
    quiet = (np.abs(np.diff(values)) <= width + DIGITS) & (np.diff(known) <= hole + 1)
    for first, length in runs(quiet):
        if length + 1 < least:
            continue
        for a, b in _within(values[first : first + length + 1], width + DIGITS):
            if b - a >= least:
                yield int(known[first + a]), int(known[first + b - 1]), b - a


def _within(values: Array, width: float) -> Iterator[tuple[int, int]]:
    """Consecutive stretches, each as long as its range stays within `width`."""
    start, low, high = 0, values[0], values[0]
    for i, value in enumerate(values):
        low, high = min(low, value), max(high, value)
        if high - low > width:
            yield start, i
            start, low, high = i, value, value
    yield start, len(values)
