"""Times of a station file: read, moved to the start of the hour in UTC, checked for order."""

from typing import Final, Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.weather.refused import WeatherError

Label = Literal["start", "centre", "end"]
LABEL_SHIFT: Final = {"start": 0.0, "centre": 0.5, "end": 1.0}
"""How far the label of an hour lies after the hour's start [h]."""
HOUR = np.timedelta64(1, "h")


def read_times(text: list[str], lines: NDArray[np.int64], where: str) -> tuple[NDArray[np.datetime64], bool]:
    """Times as written, naive, and whether they carried a zone (then they are UTC already).

    Raises:
        WeatherError: the first time that cannot be read, with its line.
    """
    sample = pd.Series(text, dtype=object).str.strip()
    zoned = bool(sample.str.contains(r"(?:Z|[+-]\d\d:?\d\d)$", regex=True).iloc[0]) and ":" in sample.iloc[0]
    parsed = pd.to_datetime(sample, errors="coerce", utc=zoned, format="ISO8601")
    if parsed.isna().mean() > 0.5:
        parsed = pd.to_datetime(sample, errors="coerce", utc=zoned)
    bad = np.flatnonzero(parsed.isna().to_numpy())
    if len(bad):
        first = int(bad[0])
        found = f"{sample.iloc[first]!r} as time"
        move = "write times as 2026-01-31T05:00"
        raise WeatherError(Fault(f"{where} line {lines[first]}", found, "a date and time", move))
    if zoned:
        parsed = parsed.dt.tz_localize(None)
    return parsed.to_numpy().astype("datetime64[ns]"), zoned


def refuse_disorder(
    times: NDArray[np.datetime64], lines: NDArray[np.int64], where: str, *, step: str = "hour"
) -> None:
    """Nothing, where times rise all along.

    Raises:
        WeatherError: time goes backwards or stands twice, with the line.
    """
    steps = np.diff(times)
    back = np.flatnonzero(steps < np.timedelta64(0, "ns"))
    if len(back):
        at = int(back[0]) + 1
        found = f"{_shown(times[at])} after {_shown(times[at - 1])}: time goes backwards"
        move = "sort it, or take out hours that stand twice; local clock time must be given in standard time"
        raise WeatherError(Fault(f"{where} line {lines[at]}", found, "times that rise", move))
    same = np.flatnonzero(steps == np.timedelta64(0, "ns"))
    if len(same):
        at = int(same[0]) + 1
        many = f"{len(same)} {step}{'s' if len(same) > 1 else ''} more than once"
        found = f"{many}, first {_shown(times[at])}"
        move = "keep one row each; local clock time must be given in standard time"
        raise WeatherError(Fault(f"{where} line {lines[at]}", found, f"each {step} once", move))


def hour_starts(
    times: NDArray[np.datetime64], lines: NDArray[np.int64], where: str, *, label: Label, utc_offset: float
) -> tuple[NDArray[np.datetime64], float]:
    """Whole hour in which each row's hour starts (UTC), and how far into it the start lies [h].

    Raises:
        WeatherError: rows that are not whole hours apart.
    """
    shift = pd.Timedelta(hours=LABEL_SHIFT[label] + utc_offset).to_timedelta64()
    start = times - shift.astype("timedelta64[ns]")
    whole = start.astype("datetime64[h]")
    into = (start - whole) / HOUR
    odd = np.flatnonzero(np.abs(into - into[0]) > 1e-6)
    if len(odd):
        at = int(odd[0])
        found = f"{_shown(times[at])}, not whole hours after {_shown(times[0])}"
        move = "average or thin the file to one row an hour"
        raise WeatherError(Fault(f"{where} line {lines[at]}", found, "one row an hour", move))
    return whole.astype("datetime64[ns]"), float(into[0])


def on_every_hour(
    whole: NDArray[np.datetime64], values: NDArray[np.float64], into: float
) -> tuple[NDArray[np.datetime64], NDArray[np.float64]]:
    """A regular axis of whole hours and the values (time) on it, NaN where no row stands.

    Rows whose hour starts `into` [h] past the whole hour overlap two of them: each whole hour is mixed from
    the two rows that share it (mean or sum alike), and is missing where one of them is.
    """
    index = ((whole - whole[0]) / HOUR).astype(np.int64)
    regular = np.full(int(index[-1]) + 1, np.nan)
    regular[index] = values
    axis = whole[0] + np.arange(len(regular)) * HOUR
    if into == 0.0:
        return axis, regular
    mixed = into * regular[:-1] + (1.0 - into) * regular[1:]
    return axis[1:], mixed


def local_days(times: NDArray[np.datetime64], lines: NDArray[np.int64], where: str) -> NDArray[np.datetime64]:
    """The local day of each row of a daily file.

    Raises:
        WeatherError: two rows within one day.
    """
    days = times.astype("datetime64[D]")
    refuse_disorder(days.astype("datetime64[ns]"), lines, where, step="day")
    return days.astype("datetime64[ns]")


def _shown(time: np.datetime64) -> str:
    return str(time.astype("datetime64[m]"))
