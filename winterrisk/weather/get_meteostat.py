"""The open weather history by the internet: years of a station, and the stations near a place.

The only module that knows the library behind it. It keeps no cache of its own: what was received goes into the
course's archive, with the time it was received.
"""

import datetime as dt
import logging
import socket
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.course_weather import HOUR
from winterrisk.weather.place import Place
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import FORECAST, MEASURED, VARIABLES

TIMEOUT: Final = 30.0
"""Longest wait for an answer [s]: the library sets none for its files, and a server that hangs would hang the
night."""
RADIUS_KM, MOST_STATIONS = 50.0, 10
"""How far and how many stations are looked at (judged; ten is the library's own limit)."""
PROVIDER: Final = "Meteostat"
FORECASTS: Final = ("dwd_mosmix", "metno_forecast")
"""Sources in the history that are forecasts: never counted as measured."""
DEPTH_IN_MM: Final = ("dwd_poi", "dwd_daily")
"""Sources whose snow depth is in mm under a heading that says cm."""
FREEZING_RAIN_CODES: Final = (10, 11)
"""Codes of the weather reported for freezing rain, light and heavy (from memory)."""
COLUMNS: Final = {
    "hourly": {
        "air_temperature": ("temp", 1.0),
        "relative_humidity": ("rhum", 0.01),
        "precipitation": ("prcp", 1.0),
        "snow_depth": ("snwd", 0.01),
        "wind_speed": ("wspd", 1 / 3.6),
        "surface_pressure": ("pres", 1.0),
        "cloud_cover": ("cldc", 1 / 8),
    },
    "daily": {
        "air_temperature_max": ("tmax", 1.0),
        "air_temperature_min": ("tmin", 1.0),
        "relative_humidity": ("rhum", 0.01),
        "precipitation": ("prcp", 1.0),
        "snow_depth": ("snwd", 0.01),
        "wind_speed": ("wspd", 1 / 3.6),
        "surface_pressure": ("pres", 1.0),
        "cloud_cover": ("cldc", 1 / 8),
    },
}
"""Our name -> the history's name, and the factor to our unit."""
SAID: Final = (
    ("timed out", "the server did not answer in time"),
    ("Connection refused", "the server refused the connection"),
    ("Name or service not known", "the server was not found; is there a network?"),
    ("Temporary failure in name resolution", "the server was not found; is there a network?"),
    ("status: ", "the server answered with an error"),
    ("EOFError", "the file broke off in the middle"),
    ("BadGzipFile", "something else than data came, perhaps a web page"),
    ("EmptyDataError", "the file was empty"),
)
"""Signs in the library's log, and what they mean."""
UNREAD: Final = "what came could not be read"


@dataclass(frozen=True)
class OnlineStation:
    """A station of the history: its number there, name, place, and how it reports."""

    id: str
    name: str
    latitude: float
    longitude: float
    elevation: float | None
    step: str


@dataclass(frozen=True)
class Fetched:
    """What came of a station: the record (None where nothing came), and one line a year that failed."""

    raw: xr.Dataset | None
    failed: tuple[str, ...]


class _Log(logging.Handler):
    """Keeps what the library says while it fetches."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        text = record.getMessage()
        if record.exc_info and record.exc_info[1] is not None:
            fault = record.exc_info[1]
            text += f" {type(fault).__name__} {fault}"
        self.lines.append(text)


@contextmanager
def _library(timeout: float) -> Iterator[tuple[Any, _Log]]:
    """The library, without its cache, with time-outs and with what it logs."""
    import meteostat

    log, logger = _Log(), logging.getLogger("meteostat")
    before, level, up = socket.getdefaulttimeout(), logger.level, logger.propagate
    with tempfile.TemporaryDirectory() as folder:
        meteostat.config.cache_enable = False
        meteostat.config.cache_directory = folder
        meteostat.config.stations_db_file = str(Path(folder) / "stations.db")
        meteostat.config.network_timeout = max(1, round(timeout))
        meteostat.config.network_max_retries = 1
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
    timeout: float = TIMEOUT,
) -> Fetched:
    """A station's record from 1 January of a year up to `now` (UTC), fetched year by year.

    Values that are forecasts in the history keep that mark (`<name>_origin` 4); hours that are not over yet are
    left out. Nothing is raised for a year that fails: it is named, and nothing stands for it.

    Args:
        timezone: of the course; days of daily records are the source's own observation days.
        timeout [s]: longest wait for one answer.
    """
    until = pd.Timestamp(now).floor("h") - pd.Timedelta(hours=1)
    frames, failed, credit = [], [], ""
    with _library(timeout) as (library, log):
        place = library.Station(
            id=station.id,
            latitude=station.latitude,
            longitude=station.longitude,
            elevation=None if station.elevation is None else round(station.elevation),
            timezone=timezone,
        )
        ask = library.hourly if station.step == "hourly" else library.daily
        for year in range(first_year, until.year + 1):
            log.lines.clear()
            begin, end = dt.datetime(year, 1, 1), min(dt.datetime(year, 12, 31, 23), until.to_pydatetime())
            try:
                series = ask(place, begin, end)
                frame = series.fetch(sources=True)
                credit = series.attribution or credit
            except Exception as fault:
                frame = None
                log.lines.append(f"{type(fault).__name__} {fault}")
            if frame is None or frame.empty:
                failed.append(
                    f"{station.name or station.id}, {year}: {_reason(log.lines)}; nothing stands for it"
                )
                continue
            frames.append(frame)
    if not frames:
        return Fetched(None, tuple(failed))
    table = pd.concat(frames)
    return Fetched(_record(table, station, until, timezone, credit), tuple(failed))


def _reason(lines: list[str]) -> str:
    text = " ".join(lines)
    if "was not found" in text or not text:
        return "the history has no data for that year"
    for sign, words in SAID:
        if sign in text:
            code = text.split("status: ")[1].split(")")[0] if sign == "status: " and sign in text else ""
            return f"{words} {code}".strip()
    return UNREAD


def _record(
    table: pd.DataFrame, station: OnlineStation, until: pd.Timestamp, timezone: str, credit: str
) -> xr.Dataset:
    times = pd.DatetimeIndex(table.index.get_level_values("time")).tz_localize(None)
    table = table.set_axis(times)
    table = table[~table.index.duplicated(keep="last") & (table.index <= until)].sort_index()
    step = HOUR if station.step == "hourly" else np.timedelta64(1, "D")
    axis = pd.date_range(table.index[0], table.index[-1], freq=pd.Timedelta(step))
    table = table.reindex(axis)
    data: dict[str, Any] = {}
    for name, (theirs, factor) in COLUMNS[station.step].items():
        if theirs not in table or table[theirs].isna().all():
            continue
        values = table[theirs].astype("float64").to_numpy() * factor
        source = table[f"{theirs}_source"].astype("object").fillna("").astype(str)
        if name == "snow_depth":
            values = np.where(source.str.contains("|".join(DEPTH_IN_MM)).to_numpy(), values / 10, values)
        variable = VARIABLES[name]
        values = np.where((values < variable.low) | (values > variable.high), np.nan, values)
        data[name] = ("time", values, variable.attrs)
        forecast = source.str.contains("|".join(FORECASTS)).to_numpy()
        data[f"{name}_origin"] = ("time", np.where(forecast, FORECAST, MEASURED).astype(np.int8))
    if "coco" in table and "precipitation" in data and station.step == "hourly":
        icy = table["coco"].astype("float64").isin(FREEZING_RAIN_CODES).to_numpy()
        rain = np.where(icy, np.nan_to_num(data["precipitation"][1]), 0.0)
        data["freezing_rain"] = ("time", rain, VARIABLES["freezing_rain"].attrs)
    attrs = {
        "step": station.step,
        "timezone": timezone,
        "station": station.name or station.id,
        "station_id": station.id,
        "provider": PROVIDER,
        "licence": credit,
        "latitude": station.latitude,
        "longitude": station.longitude,
        "height_temperature": 2.0,
        "height_wind": 10.0,
        "height_from": "ground",
    }
    if station.elevation is not None:
        attrs["elevation"] = station.elevation
    return xr.Dataset(data, coords={"time": axis.to_numpy().astype("datetime64[ns]")}, attrs=attrs)


def get_station_table(place: Place, timeout: float = TIMEOUT) -> pd.DataFrame:
    """Stations near a place and what they have: id, name, latitude, longitude, elevation, distance_km, step,
    variable, first, last (dates), completeness [1]; one row a station, step and variable.

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
            kept = library.stations.inventory([str(i) for i in near.index]).df if len(near) else None
            granularity = {str(p.id): str(p.granularity) for p in _providers()}
        except Exception as fault:
            found = _reason([*log.lines, f"{type(fault).__name__} {fault}"])
            move = 'try again later, or put a station file into the folder (station.source = "file")'
            raise WeatherError(Fault("online history", found, "its table of stations", move)) from fault
    if kept is None or not len(kept):
        found, move = f"no station within {RADIUS_KM:.0f} km", 'use a file (station.source = "file")'
        raise WeatherError(Fault("online history", found, "one near the course", move))
    return _table(near, kept.reset_index(), granularity)


def _providers() -> Any:
    from meteostat.core.providers import provider_service

    return provider_service.providers


def _table(near: pd.DataFrame, kept: pd.DataFrame, granularity: dict[str, str]) -> pd.DataFrame:
    rows = []
    for step, columns in COLUMNS.items():
        ours = {theirs: name for name, (theirs, _) in columns.items()}
        for row in kept.to_dict("records"):
            name = ours.get(str(row["parameter"]))
            if name is None or step not in granularity.get(str(row["provider"]), ""):
                continue
            station = near.loc[row["station"]]
            rows.append(
                {
                    "id": str(row["station"]),
                    "name": str(station["name"]),
                    "latitude": float(station["latitude"]),
                    "longitude": float(station["longitude"]),
                    "elevation": float(station["elevation"]),
                    "distance_km": float(station["distance"]) / 1000.0,
                    "step": step,
                    "variable": name,
                    "first": str(row["start"])[:10],
                    "last": str(row["end"])[:10],
                    "completeness": float(row["completeness"]),
                }
            )
    return pd.DataFrame(rows)
