"""What a station's record lacks or makes doubtful, and the next move for each."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Final

from winterrisk.course.calendar import replay_start, winter_of
from winterrisk.course.doubts import Doubt

if TYPE_CHECKING:
    import xarray as xr

FEW_WINTERS: Final = 3
"""Winters in a record below which the weather to spring is guessed from too little; judged."""
MANY_MISSING: Final = 0.05
"""Share of missing values in the newest winter that is worth a line; judged."""
STAND_INS: Final = {
    ("dew_point", "relative_humidity"): ("humidity", "dew point is estimated"),
    ("wind_speed",): ("wind", "a usual wind is assumed"),
    ("shortwave_down", "cloud_cover"): (
        "sunshine or cloud",
        "both are estimated from temperature; by a sea or great lake write near_water = true in [place]",
    ),
    ("snow_depth",): ("snow depth", "log snow depth with `winterrisk observe` after each snowfall"),
}
"""Variables one of which should be there, what they are called, and what happens without."""


def record_doubts(record: xr.Dataset) -> tuple[Doubt, ...]:
    """What a station's record (time) lacks or makes doubtful: length, gaps, variables that are not there."""
    return (*_length_doubts(record), *_gap_doubts(record), *_absent_doubts(record))


def _length_doubts(record: xr.Dataset) -> Iterator[Doubt]:
    first, last = (_day(record, end) for end in (0, -1))
    start = replay_start(winter_of(last))
    if first > start:
        yield Doubt(
            "station.file",
            f"begins on {first}, after {start}: the ground's warmth in autumn is not known",
            "add the summer before, if the station has it",
        )
    winters = int(winter_of(last)[:4]) - int(winter_of(first)[:4])
    if winters < FEW_WINTERS:
        yield Doubt(
            "station.file",
            f"{winters} winter(s) before the newest one: the weather to come has few examples",
            "add earlier years of the same station",
        )


def _gap_doubts(record: xr.Dataset) -> Iterator[Doubt]:
    newest = record.sel(time=slice(str(replay_start(winter_of(_day(record, -1)))), None))
    for name in ("air_temperature", "air_temperature_max", "air_temperature_min", "precipitation"):
        if name in newest and newest.sizes["time"]:
            share = float(newest[name].isnull().mean())
            if share > MANY_MISSING:
                yield Doubt(
                    "station.file",
                    f"{share:.0%} of {name.replace('_', ' ')} is missing in the newest winter",
                    "fill it from the logger or a second station; ranges are wider until then",
                )


def _absent_doubts(record: xr.Dataset) -> Iterator[Doubt]:
    for names, (called, without) in STAND_INS.items():
        if not any(name in record and bool(record[name].notnull().any()) for name in names):
            yield Doubt("station.file", f"no {called} in it", without)


def _day(record: xr.Dataset, position: int) -> date:
    return date.fromisoformat(str(record["time"].values[position].astype("datetime64[D]")))
