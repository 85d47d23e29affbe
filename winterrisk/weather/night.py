"""The weather of one night: what was known, the possible winters that follow from it, and how good it is."""

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course import Course, day_start, local_days, night_instant, replay_start, winter_of
from winterrisk.science.faults import Fault
from winterrisk.weather.complete import complete
from winterrisk.weather.course_weather import CourseWeather, prepared
from winterrisk.weather.data_share import data_share
from winterrisk.weather.forecast_paths import forecast_paths
from winterrisk.weather.possible import possible
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import FILLED

HOUR: Final = np.timedelta64(1, "h")
LOOK_BACK: Final = 72
YEAR: Final = 365.25
SEASON: Final = 15.0
"""Days before and after in which the record's coldest hour is looked for [d] (judged)."""
LATELY: Final = 7 * 24
"""Hours back from which a night tells what the checks found [h] (judged)."""
DOUBTFUL: Final = ("bad", "unconfirmed", "suspect")
BLIND_HOURS: Final = 48
"""A zone cannot be judged when this many of the last 72 hours lack temperature or precipitation (judged)."""


@dataclass(frozen=True)
class NightWeather:
    """Weather for one night.

    paths (time, member): possible winters from 1 August on; until: end of the last measured hour (UTC);
    share: measured share of the last 72 h by variable; filled_hours: hours of this winter that were filled;
    digest: SHA-256 of what was known of the weather; unseen_days: local days of the last stretch without
    temperature or precipitation; coldest: lowest air temperature on record for these days of the year, where
    temperature is what lacks [degC]; found: rows of what the checks of the weather found; sources: one row a
    source; missed: what could not be fetched or read; winter (time): this winter so far, made whole.
    """

    paths: xr.Dataset
    until: np.datetime64
    age_hours: float
    share: Mapping[str, float]
    filled_hours: int
    ahead: str
    digest: str
    unseen_days: NDArray[np.datetime64]
    coldest: float | None
    found: pd.DataFrame
    sources: tuple[Mapping[str, Any], ...]
    missed: tuple[str, ...]
    winter: xr.Dataset
    forecast: Mapping[str, str] | None = None

    def lately(self, hours: int = LATELY) -> pd.DataFrame:
        """Findings about the last hours that were not believed as they stood."""
        doubtful = self.found["verdict"].isin(DOUBTFUL)
        return self.found[doubtful & (self.found["until"] > self.until - hours * HOUR)]

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
        what = " (soaked crowns freezing hard cannot be judged)" if lacking == ["precipitation"] else ""
        return f"no {' and '.join(lacking)} for {hours} of the last {LOOK_BACK} h{what}"


def night_weather(
    received: CourseWeather,
    course: Course,
    on: dt.date,
    horizon: dt.date,
    *,
    n_paths: int,
    known: bool = True,
    forecast: xr.Dataset | None = None,
    received_by: np.datetime64 | None = None,
) -> NightWeather:
    """Possible winters for the night `on`, from what was known by 04:00 local, up to the end of `horizon`.

    Args:
        received: all weather of the course.
        n_paths: continuations from past winters.
        known: cut to what was known by then; else all hours before 04:00.
        forecast (time[, member]): as known that night; the days after it are past winters.
        received_by: UTC, by when what the night asked for was in; 04:00 where left out.
    Raises:
        WeatherError: the night lies before the record, or before this winter's part of it.
    """
    now = np.datetime64(night_instant(on, course.timezone)).astype("datetime64[h]")
    winter = winter_of(on)
    start = np.datetime64(day_start(replay_start(winter), course.timezone)).astype("datetime64[h]")
    ready = prepared(received, now, hindsight=not known, received_by=received_by)
    weather = complete(ready.raw, course.place, (course.id,))
    times = weather["time"].to_numpy()
    ends = times[-1] + HOUR
    if ends <= start:
        move = "bring the station's record up to date"
        raise WeatherError(
            Fault(
                received.station,
                f"a record that ends {str(ends)[:10]}",
                f"weather of the winter {winter}",
                move,
            )
        )
    measured = weather.isel(time=np.flatnonzero(times >= start))
    until = np.datetime64(day_start(horizon + dt.timedelta(days=1), course.timezone)).astype("datetime64[h]")
    key = (course.id, winter)
    ahead, missed = _ahead(forecast, measured, weather, n_paths, key)
    paths = possible(measured, ahead, weather, members=n_paths, key=key, until=until, now=now)
    origin = measured["air_temperature_origin"].to_numpy()
    wet = measured["precipitation_origin"].to_numpy()
    return NightWeather(
        paths=paths,
        until=ends,
        age_hours=float((now - ends) / HOUR),
        share=data_share(weather, LOOK_BACK, now),
        filled_hours=int(np.sum((origin == FILLED) | (wet == FILLED))),
        ahead=_ahead_words(ahead, str(paths.attrs["continuation"])),
        digest=weather_digest(ready.raw, *(() if ahead is None else (ahead,))),
        unseen_days=_unseen_days(weather, now, course.timezone),
        coldest=_coldest(weather, now),
        found=ready.found,
        sources=ready.sources,
        missed=(*received.missed, *missed),
        winter=measured,
        forecast=None if ahead is None else _told_of(ahead),
    )


def _ahead(
    forecast: xr.Dataset | None,
    measured: xr.Dataset,
    weather: xr.Dataset,
    n_paths: int,
    key: tuple[str, str],
) -> tuple[xr.Dataset | None, tuple[str, ...]]:
    """Paths of the forecast (time, member), or why there are none."""
    if forecast is None:
        return None, ()
    try:
        return forecast_paths(forecast, measured, members=n_paths, key=key, past=weather), ()
    except WeatherError as fault:
        return None, (str(fault),)


def _told_of(ahead: xr.Dataset) -> dict[str, str]:
    told = {
        name: str(ahead.attrs.get(name, "")) for name in ("source", "issued", "received", "credit", "doubt")
    }
    return told | {"until": str(ahead["time"].to_numpy()[-1] + HOUR)[:16]}


def _ahead_words(ahead: xr.Dataset | None, after: str) -> str:
    if ahead is None:
        return after
    return f"forecast of {ahead.attrs['source']} to {str(ahead['time'].to_numpy()[-1] + HOUR)[:10]}, then {after}"


def _measured(weather: xr.Dataset, name: str, now: np.datetime64) -> xr.DataArray:
    """Whether each hour up to `now` was measured; hours after the record's end were not."""
    origin = weather[f"{name}_origin"]
    hours = np.arange(weather["time"].to_numpy()[0].astype("datetime64[h]"), now)
    return (origin < FILLED).reindex(time=hours.astype("datetime64[ns]"), fill_value=False)


def _unseen_days(weather: xr.Dataset, now: np.datetime64, timezone: str) -> NDArray[np.datetime64]:
    seen = _measured(weather, "air_temperature", now) & _measured(weather, "precipitation", now)
    missing = ~seen.to_numpy()
    begin = len(missing) - LOOK_BACK
    while begin > 0 and missing[begin] and missing[begin - 1]:
        begin -= 1
    hours = seen["time"].to_numpy()[begin:][missing[begin:]]
    return np.unique(local_days(hours, timezone)).astype("datetime64[D]")


def _coldest(weather: xr.Dataset, now: np.datetime64) -> float | None:
    known = _measured(weather, "air_temperature", now).to_numpy()
    if np.sum(~known[-LOOK_BACK:]) < BLIND_HOURS:
        return None
    times = weather["time"].to_numpy()
    of_year = (times - times.astype("datetime64[Y]")) / np.timedelta64(1, "D")
    tonight = float((now - now.astype("datetime64[Y]")) / np.timedelta64(1, "D"))
    apart = np.abs((of_year - tonight + YEAR / 2) % YEAR - YEAR / 2)
    near = (apart <= SEASON) & (weather["air_temperature_origin"].to_numpy() < FILLED)
    return float(weather["air_temperature"].to_numpy()[near].min()) if near.any() else None


def weather_digest(*parts: xr.Dataset) -> str:
    """SHA-256 of the values and times of a record, and of a forecast: same weather, same digest."""
    digest = hashlib.sha256()
    for part in parts:
        digest.update(part["time"].to_numpy().astype("datetime64[s]").astype("int64").tobytes())
        for name in sorted(map(str, part.data_vars)):
            digest.update(name.encode() + part[name].to_numpy().astype("float64").tobytes())
    return digest.hexdigest()
