"""The open weather history by the internet: years of a station, and the stations near a place.

The only module that knows the library behind it. It keeps no cache of its own: what was received goes into the
course's archive, with the time it was received.
"""

import datetime as dt
import logging
import socket
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.get_reason import Log
from winterrisk.weather.history_faults import NOT_ASKED, Reason, year_faults
from winterrisk.weather.history_sources import MODEL_ANALYSIS, OnlineStation, SourceKind
from winterrisk.weather.history_values import history_record
from winterrisk.weather.place import Place
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.station_table import station_table
from winterrisk.weather.variables import FORECAST, MEASURED

TIMEOUT: Final = 30.0
"""Longest wait for an answer [s]: the library sets none for its files, and a server that hangs would hang the
night."""
ATTEMPTS: Final = 2
"""Years in a row whose server cannot be reached before the rest is not asked for."""
RADIUS_KM, MOST_STATIONS = 50.0, 40
"""How far and how many stations are looked at (judged)."""
OWN_FILE: Final = 'put a station file into the folder (station.source = "file")'
GRADES: Final = {
    "FORECAST": FORECAST,
    "ANALYSIS": MODEL_ANALYSIS,
    "OBSERVATION": MEASURED,
    "RECORD": MEASURED,
}
"""The library's grade of a source -> origin of its values."""


@dataclass(frozen=True)
class Fetched:
    """What came of a station: the record (time), None where nothing came, and what lacks in it and why."""

    raw: xr.Dataset | None
    faults: tuple[Fault, ...]

    @property
    def failed(self) -> tuple[str, ...]:
        """One line a fault."""
        return tuple(map(str, self.faults))

    def needed(self) -> xr.Dataset:
        """The record (time), where nothing can be done without.

        Raises:
            WeatherError: nothing came; why, and what to do.
        """
        if self.raw is None:
            move = f"try again later, choose another station, or {OWN_FILE}"
            faults = [Fault(f.where, f.found, "weather of the online history", move) for f in self.faults]
            raise WeatherError(faults)
        return self.raw


@contextmanager
def _library(timeout: float) -> Iterator[tuple[Any, Log]]:
    """The library, without its cache, with time-outs and with what it logs.

    Its addresses are those of its settings (or of the environment, MS_HOURLY_ENDPOINT and others) at its first
    use. The time-out is that of the whole process while it lasts: call it from one thread.
    """
    import meteostat

    log, logger = Log(), logging.getLogger("meteostat")
    before, level, up = socket.getdefaulttimeout(), logger.level, logger.propagate
    with tempfile.TemporaryDirectory() as folder:
        meteostat.config.cache_enable = False
        meteostat.config.cache_directory = folder
        meteostat.config.stations_db_file = str(Path(folder) / "stations.db")
        meteostat.config.network_timeout = max(1, round(timeout))
        meteostat.config.network_max_retries = 0
        meteostat.config.include_model_data = True
        _refuse_open_addresses(meteostat.config)
        socket.setdefaulttimeout(timeout)
        logger.addHandler(log)
        logger.setLevel(logging.INFO)
        logger.propagate = False
        try:
            yield meteostat, log
        finally:
            logger.removeHandler(log)
            logger.setLevel(level)
            logger.propagate = up
            socket.setdefaulttimeout(before)


def _refuse_open_addresses(config: Any) -> None:
    for address in (config.hourly_endpoint, config.daily_endpoint, *config.stations_db_endpoints):
        parts = urlsplit(address)
        if parts.scheme != "https" and parts.hostname not in ("127.0.0.1", "localhost"):
            found, move = f"the address {address}", "use an https address"
            raise WeatherError(Fault("online history", found, "one that cannot be tampered with", move))


def get_history(
    station: OnlineStation,
    first_year: int,
    now: np.datetime64,
    *,
    timezone: str,
    wanted: Sequence[str] = (),
    timeout: float = TIMEOUT,
) -> Fetched:
    """A station's record from 1 January of a year up to `now` (UTC), fetched year by year.

    Hours and days that are not over yet are left out. Nothing is raised for a year that fails: it is told, and
    nothing stands for it. Once the server could not be reached for two years in a row the rest is not asked for.

    Args:
        timezone: of the course; days of daily records are the source's own observation days.
        wanted: variables that are taken from this station; a year without one of them is told.
        timeout [s]: longest wait for one answer.
    Raises:
        WeatherError: an address of the history that is not https.
    """
    until = pd.Timestamp(now)
    frames: dict[int, pd.DataFrame] = {}
    missed: dict[int, Reason] = {}
    unreached = 0
    with _library(timeout) as (library, log):
        for year in range(first_year, until.year + 1):
            if unreached == ATTEMPTS:
                missed[year] = NOT_ASKED
                continue
            log.clear()
            frame = _year(library, log, station, year, until)
            if frame is not None and len(frame):
                frames[year], unreached = frame, 0
                continue
            missed[year] = log.reason()
            unreached = unreached + 1 if missed[year].unreachable else 0
        kinds = _kinds()
    faults = year_faults(station.said, missed, frames)
    if first_year > until.year:
        move = "correct station.since"
        faults.append(Fault("station.since", f"the year {first_year}", "one that has begun", move))
    if not frames:
        return Fetched(None, tuple(faults))
    raw, more = history_record(
        pd.concat(frames.values()),
        station,
        kinds,
        begin=pd.Timestamp(min(frames), 1, 1),
        now=now,
        timezone=timezone,
        wanted=wanted,
    )
    return Fetched(raw, (*faults, *more))


def _year(
    library: Any, log: Log, station: OnlineStation, year: int, until: pd.Timestamp
) -> pd.DataFrame | None:
    """Rows of one year (time, source) as they came; None where they did not, and `log` knows why."""
    place = library.Station(
        id=station.id,
        latitude=station.latitude,
        longitude=station.longitude,
        elevation=None if station.elevation is None else round(station.elevation),
        timezone="UTC",
    )
    begin, end = dt.datetime(year, 1, 1), min(dt.datetime(year, 12, 31, 23), until.to_pydatetime())
    ask = library.hourly if station.step == "hourly" else library.daily
    try:
        frame: pd.DataFrame | None = ask(place, begin, end).fetch(squash=False, clean=False)
    except Exception as fault:
        log.raised.append(fault)
        return None
    return frame


def _kinds() -> dict[str, SourceKind]:
    """Every source that the library knows of, by its name."""
    return {
        str(p.id): SourceKind(
            GRADES[p.grade.name] if p.grade is not None else MODEL_ANALYSIS,
            float(p.priority),
            (p.license.attribution or "") if p.license is not None else "",
        )
        for p in _providers()
    }


def _providers() -> Any:
    from meteostat.core.providers import provider_service

    return provider_service.providers


def get_station_table(place: Place, timeout: float = TIMEOUT) -> pd.DataFrame:
    """Stations near a place and what they have: id, name, latitude, longitude, elevation, distance_km, step,
    variable, first, last (dates), completeness [1]; one row a station, step and variable.

    Completeness and dates are those of the history's own list, of all years and sometimes behind the truth.

    Raises:
        WeatherError: the table of stations could not be had, or has none within 50 km.
    """
    with _library(timeout) as (library, log):
        try:
            near = library.stations.nearby(
                library.Point(place.latitude, place.longitude, round(place.elevation)),
                radius=round(1000 * RADIUS_KM),
                limit=MOST_STATIONS,
            )
            near = near[~near.index.duplicated()]
            kept = library.stations.inventory([str(i) for i in near.index]).df if len(near) else None
        except Exception as fault:
            log.raised.append(fault)
            found = f"that {log.reason().words}"
            move = f"try again later, or {OWN_FILE}"
            raise WeatherError(Fault("online history", found, "its table of stations", move)) from fault
        steps = {str(p.id): str(p.granularity) for p in _providers()}
    table = pd.DataFrame() if kept is None else station_table(near, kept.reset_index(), steps)
    if not len(table):
        found = f"no station with weather within {RADIUS_KM:.0f} km"
        raise WeatherError(Fault("online history", found, "one near the course", OWN_FILE))
    return table
