"""This winter's weather at the station beside every other winter on record."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, Final

import pandas as pd
import xarray as xr

from winterrisk.course import winter_start
from winterrisk.reports.night_record import rounded
from winterrisk.weather.freeze_thaw import freeze_thaw_days
from winterrisk.weather.variables import FILLED
from winterrisk.weather.winters import LEAST_MEASURED

Row = dict[str, Any]

FIRST, LAST = (12, 1), (3, 31)
"""December to March: the months in which most harm is done (judged)."""
MILD: Final = 1.0
"""Air from which precipitation is taken as rain for this count [degC] (common practice, no source)."""
COUNTS: Final = ("mean", "coldest", "freeze_thaw", "rain_mm")


def weather_of_winters(weather: xr.Dataset, winters: Sequence[str], timezone: str) -> list[Row]:
    """December to March of each winter: mean and coldest air [degC], days that thawed and froze [d], rain [mm].

    Rain is what fell at 1 degC or warmer. A winter measured too little (`weather.winters`) has only its measured share.

    Args:
        weather (time): air_temperature, precipitation and their origins, UTC. winters: names, in order.
    """
    local = (
        pd.DatetimeIndex(weather["time"].to_numpy()).tz_localize("UTC").tz_convert(timezone).tz_localize(None)
    )
    names = ("air_temperature", "precipitation", "air_temperature_origin", "precipitation_origin")
    table = pd.DataFrame({name: weather[name].to_numpy() for name in names}, index=local)
    return [{"winter": winter, **_of(table, winter)} for winter in winters]


def _of(table: pd.DataFrame, winter: str) -> Row:
    year = winter_start(winter).year
    first, last = dt.datetime(year, *FIRST), dt.datetime(year + 1, *LAST, 23)
    there = table[(table.index >= first) & (table.index <= last)]
    hours = (last - first) / dt.timedelta(hours=1) + 1
    origins = there[["air_temperature_origin", "precipitation_origin"]]
    measured = float((origins < FILLED).all(axis=1).sum() / hours)
    row: Row = {"measured": rounded(measured), **dict.fromkeys(COUNTS)}
    if measured < LEAST_MEASURED:
        return row
    air = there["air_temperature"]
    daily = air.groupby(there.index.date)
    rain = there["precipitation"].where(air >= MILD, 0.0)
    return row | {
        "mean": rounded(air.mean()),
        "coldest": rounded(air.min()),
        "freeze_thaw": freeze_thaw_days(daily.max().to_numpy(), daily.min().to_numpy()),
        "rain_mm": rounded(rain.sum()),
    }


def ranks(rows: Sequence[Mapping[str, Any]], winter: str) -> dict[str, tuple[int, int]]:
    """Place of a winter among those measured, 1 = highest, and how many there are; by count."""
    told: dict[str, tuple[int, int]] = {}
    for name in COUNTS:
        values = {row["winter"]: row[name] for row in rows if row[name] is not None}
        if winter in values:
            told[name] = (1 + sum(v > values[winter] for v in values.values()), len(values))
    return told
