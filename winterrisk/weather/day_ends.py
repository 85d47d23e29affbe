"""Daily readings whose day does not end at midnight: a morning or evening observer's."""

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.half_cosines import NOON, extreme_hours, temperature_by_hour, with_both_extremes
from winterrisk.weather.local_days import HOUR, MIDNIGHT, LocalDays, hours_of_days
from winterrisk.weather.place import Place

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

DAY = np.timedelta64(1, "D")


def day_ends_of(raw: xr.Dataset) -> int:
    """Clock hour at which the day of a daily reading ends [h], from the attribute day_ends; 24 = midnight.

    A day that "ends at 0" ends at midnight, as one that ends at 24.
    """
    ends = round(float(raw.attrs.get("day_ends", MIDNIGHT)))
    return ends if 0 < ends < MIDNIGHT else MIDNIGHT


def temperature_of_readings(
    low: Array, high: Array, hours: LocalDays, place: Place, timezone: str, ends: int
) -> tuple[Array, Flags]:
    """Air temperature (time) [degC] of readings taken at a clock hour, and the hours that lean on a guess.

    A row of date D holds what the thermometer went through since the reading the day before. A morning
    observer's lowest is that of the morning of D and the highest that of the afternoon before; an evening
    observer's are both of D. Half cosines run from extreme to extreme; no hour leaves the range of its own
    row, so that a cold morning that was still felt at the reading and stands in two rows is not made colder.
    What no row can tell: a highest or lowest at another time of the day, as when a front passes.

    Args:
        low, high (row) [degC]: NaN where missing; a row without both stays missing.
        hours: of the rows, each from reading to reading; ends [h]: clock hour of the reading.
    Reference: common practice; the two rows of one cold morning: Karl et al. (1986), from memory.
    """
    days = np.append(hours.days[:1] - DAY, hours.days)
    none = np.full(1, np.nan)
    lowest = np.concatenate([none, low])
    highest = np.concatenate([high, none] if ends <= NOON else [none, high])
    month = np.append(hours.days[:1], hours.days).astype("datetime64[M]").astype(np.int64) % 12
    lowest, highest, guessed_low, _ = with_both_extremes(lowest, highest, month)
    calendar = hours_of_days(days, timezone)
    curve = temperature_by_hour(lowest, highest, calendar, place.latitude, place.longitude, ends)
    _, warmest = extreme_hours(calendar, place.latitude, place.longitude, ends)
    first = int((hours.times[0] - calendar.times[0]) / HOUR)
    here = slice(first, first + len(hours.times))
    day, row = calendar.day_of_hour[here], hours.day_of_hour
    leans = guessed_low[day] & (np.arange(len(curve))[here] < warmest[day])
    return np.clip(curve[here], low[row], high[row]), leans
