"""The weather of one night: what was known, the possible winters that follow from it, and how good it is."""

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr

from winterrisk.course import Course, day_start, night_instant, replay_start, winter_of
from winterrisk.science.faults import Fault
from winterrisk.weather.complete import complete
from winterrisk.weather.data_share import data_share
from winterrisk.weather.known import known_by
from winterrisk.weather.possible import possible
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import FILLED

HOUR: Final = np.timedelta64(1, "h")
LOOK_BACK: Final = 72
BLIND_HOURS: Final = 48
"""A zone cannot be judged when this many of the last 72 hours lack temperature or precipitation (judged)."""


@dataclass(frozen=True)
class NightWeather:
    """Weather for one night.

    paths (time, member): possible winters from 1 August on; until: end of the last measured hour (UTC);
    share: measured share of the last 72 h by variable; filled_hours: hours of this winter that were filled;
    digest: SHA-256 of what was known of the weather.
    """

    paths: xr.Dataset
    until: np.datetime64
    age_hours: float
    share: Mapping[str, float]
    filled_hours: int
    ahead: str
    digest: str

    @property
    def blind(self) -> str:
        """Why nothing can be said, or an empty text where enough was measured."""
        lacking = [
            name.replace("_", " ")
            for name, share in self.share.items()
            if (1 - share) * LOOK_BACK >= BLIND_HOURS
        ]
        if not lacking:
            return ""
        hours = round((1 - min(self.share.values())) * LOOK_BACK)
        return f"no {' and '.join(lacking)} for {hours} of the last {LOOK_BACK} h"


def night_weather(
    raw: xr.Dataset, course: Course, on: dt.date, horizon: dt.date, *, n_paths: int, known: bool = True
) -> NightWeather:
    """Possible winters for the night `on`, from what was known by 04:00 local, up to the end of `horizon`.

    Args:
        raw: as `read_station` gives it.
        n_paths: continuations from past winters.
        known: cut to what was known by then; else all hours before 04:00.
    Raises:
        WeatherError: the night lies before the record, or before this winter's part of it.
    """
    now = np.datetime64(night_instant(on, course.timezone)).astype("datetime64[h]")
    winter = winter_of(on)
    start = np.datetime64(day_start(replay_start(winter), course.timezone)).astype("datetime64[h]")
    seen = known_by(raw, now if known else now + HOUR)
    weather = complete(seen, course.place, (course.id,))
    times = weather["time"].to_numpy()
    ends = times[-1] + HOUR
    if ends <= start:
        move = "bring the station file up to date"
        raise WeatherError(
            Fault(
                course.station.file,
                f"a record that ends {str(ends)[:10]}",
                f"weather of the winter {winter}",
                move,
            )
        )
    measured = weather.isel(time=np.flatnonzero(times >= start))
    until = np.datetime64(day_start(horizon + dt.timedelta(days=1), course.timezone)).astype("datetime64[h]")
    paths = possible(measured, past=weather, members=n_paths, key=(course.id, winter), until=until, now=now)
    origin = measured["air_temperature_origin"].to_numpy()
    wet = measured["precipitation_origin"].to_numpy()
    return NightWeather(
        paths=paths,
        until=ends,
        age_hours=float((now - ends) / HOUR),
        share=data_share(weather, LOOK_BACK, now),
        filled_hours=int(np.sum((origin == FILLED) | (wet == FILLED))),
        ahead=str(paths.attrs.get("ahead", "past winters of this record")),
        digest=weather_digest(seen),
    )


def weather_digest(raw: xr.Dataset) -> str:
    """SHA-256 of the values and times of a record: same weather, same digest."""
    digest = hashlib.sha256(raw["time"].to_numpy().astype("datetime64[s]").astype("int64").tobytes())
    for name in sorted(map(str, raw.data_vars)):
        digest.update(name.encode() + raw[name].to_numpy().astype("float64").tobytes())
    return digest.hexdigest()
