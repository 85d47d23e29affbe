"""A server on this machine that speaks the open history's real formats, and fails in every way it can.

The number of a station says how it behaves, see `answer`. Stations, places and values are invented.
"""

import gzip
import os
import socket
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import numpy as np
import pandas as pd

HANGS = 8.0
HOURLY = ("temp", "rhum", "prcp", "snwd", "wdir", "wspd", "wpgt", "pres", "tsun", "cldc", "coco")
DAILY = ("temp", "tmin", "tmax", "rhum", "prcp", "snwd", "wspd", "wpgt", "pres", "tsun", "cldc")
FIRST_YEAR, LAST = 2022, pd.Timestamp("2025-02-26T23:00")
PLACE = (46.6, -95.0, 380.0)
"""Of the invented course."""
SILENT_FROM = pd.Timestamp("2025-02-20T09:00")
"""From here on the station STOPS has only a forecast."""
DB_SHARE = {"NEAR": 0.95, "GOOD1": 0.97, "OLD": 0.97, "HIGH": 0.97}


def hours(year: int) -> pd.DataFrame:
    """A year of invented hours: a course of year and day, rain every 97th hour, snow in winter."""
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31T23:00", freq="h")
    season = -np.cos(2 * np.pi * (index.day_of_year.to_numpy() - 20) / 365.25)
    day = -np.cos(2 * np.pi * (index.hour.to_numpy() - 9) / 24)
    temp = np.round(4.0 + 16.0 * season + 4.0 * day + 2 * np.sin(np.arange(len(index)) / 40.0), 1)
    return pd.DataFrame(
        {
            "temp": temp, "rhum": 80, "prcp": np.where(np.arange(len(index)) % 97 == 5, 1.2, 0.0),
            "snwd": np.where(temp < -5, 12, 0), "wdir": 200, "wspd": 14.4, "wpgt": 30.0, "pres": 1015.0,
            "tsun": np.nan, "cldc": 4, "coco": np.where(temp < -1, 10, 7),
        },
        index=index,
    )  # fmt: skip


def days(year: int) -> pd.DataFrame:
    """The same year day by day."""
    by_day = hours(year).resample("D")
    frame = by_day.mean()
    frame["tmin"], frame["tmax"] = by_day["temp"].min().round(1), by_day["temp"].max().round(1)
    frame["prcp"] = by_day["prcp"].sum().round(1)
    return frame.round(1)


def csv_of(frame: pd.DataFrame, columns: tuple[str, ...], sources: pd.DataFrame, daily: bool) -> str:
    """Rows as the history writes them: parts of the time, then value and source of each column."""
    out = pd.DataFrame({"year": frame.index.year, "month": frame.index.month, "day": frame.index.day})
    if not daily:
        out["hour"] = frame.index.hour
    for name in columns:
        out[name] = frame[name].to_numpy()
        out[f"{name}_source"] = np.where(frame[name].isna(), "", sources[name].to_numpy())
    return out.to_csv(index=False)


@dataclass
class Asked:
    """What was asked of the server, in order, and what it is to do next."""

    address: str = ""
    paths: list[str] = field(default_factory=list)
    changed: bool = False
    stations: str = "good"
    frames: dict[str, Callable[[], pd.DataFrame]] = field(default_factory=dict)
    """Hours of stations that a test serves itself, by number; columns as of the history, NaN where missing."""
    fails: Callable[[], bool] = lambda: False
    """Whether a request is answered with an error."""
    spoils: Callable[[bytes], bytes] = lambda body: body
    """What is sent in place of a yearly file."""
    acts_as: str = ""
    """Number of the station whose behaviour every station has for a while."""
    often_wet: bool = False
    """Whether 1.2 mm fall in three hours of every 29, so that the cold has its snow."""


def absent(station: str, year: int) -> bool:
    """Whether the history has no file for a year of a station."""
    never = station in ("S404", "OLD") or year < FIRST_YEAR or year > LAST.year
    return never or (station == "GAP" and year == 2023) or (station == "GONE" and year > 2023)


_KEPT: dict[tuple[object, ...], tuple[int, bytes]] = {}


def served(frame: pd.DataFrame, year: int) -> tuple[int, bytes]:
    """Status and body for one yearly file of measured hours."""
    rows = frame[frame.index.year == year]
    if rows.empty:
        return 404, b"no such file"
    key = ("served", year, int(pd.util.hash_pandas_object(rows).sum()))
    if key not in _KEPT:
        sources = pd.DataFrame("isd_lite", index=rows.index, columns=list(HOURLY))
        text = csv_of(rows.reindex(columns=HOURLY), HOURLY, sources, False)
        _KEPT[key] = 200, gzip.compress(text.encode(), 1)
    return _KEPT[key]


def answer(station: str, year: int, daily: bool, asked: Asked) -> tuple[int, bytes]:
    """Status and body for one yearly file of a station."""
    if station in asked.frames and not daily:
        return served(asked.frames[station](), year)
    if absent(station, year):
        return 404, b"no such file"
    if station in ("S500", "S503"):
        return int(station[1:]), b"broken"
    if station == "HANG":
        time.sleep(HANGS)
    columns = DAILY if daily else HOURLY
    frame = (days if daily else hours)(year)
    frame = frame[frame.index <= LAST]
    if asked.often_wet:
        frame["prcp"] = np.where(np.arange(len(frame)) % 29 < 3, 1.2, 0.0)
    sources = pd.DataFrame("isd_lite", index=frame.index, columns=list(columns))
    even = np.arange(len(frame)) % 2 == 0
    if station == "MODEL":
        sources[:] = "dwd_mosmix"
    if station == "STOPS":
        sources[frame.index >= SILENT_FROM] = "metno_forecast"
    if station == "NEAR":
        frame["prcp"] = np.nan
    if station == "HOLES":
        sources.loc[even, "temp"] = "metno_forecast"
    if station == "UNHEARD":
        sources[:] = "somebody_new"
    if station in ("DEPTHMM", "DEPTHBOTH"):
        here = np.ones(len(frame), dtype=bool) if station == "DEPTHMM" else even
        sources.loc[here, "snwd"] = "dwd_poi"
        frame.loc[here, "snwd"] *= 10
    if station == "DEPTHCM":
        sources.loc[even, "snwd"] = "dwd_poi"
    if station == "NOSOURCE":
        sources[:] = ""
    if station == "NOCELL":
        sources.loc[frame.index[7], "temp"] = ""
    if station == "DRY" and year == 2024:
        frame["prcp"] = np.nan
    if station == "NOCODE":
        frame.loc[even, "coco"] = np.nan
    if station == "CHANGES" and asked.changed:
        frame.loc[frame.index[5], "temp"] = -33.3
    if station == "IMPOSSIBLE":
        frame.loc[frame.index[9], "temp"] = 71.0
    if station == "HEADER":
        frame, sources = frame.iloc[:0], sources.iloc[:0]
    if station == "TWICE":
        frame, sources = (pd.concat([f.iloc[:3], f.iloc[2:]]) for f in (frame, sources))
    text = "" if station == "EMPTY" else csv_of(frame, columns, sources, daily)
    body = gzip.compress(text.encode())
    if station == "CUT":
        body = body[: len(body) // 2]
    if station == "HTML":
        body = b"<html><body>Please accept our terms.</body></html>"
    return 200, body


def kept_answer(station: str, year: int, daily: bool, asked: Asked) -> tuple[int, bytes]:
    """`answer`, worked out once for each thing that it depends on.

    One that hangs does so each time, and what a test serves itself or lets fail is asked for each time.
    """
    if asked.fails():
        return 503, b"busy"
    if station in asked.frames:
        return answer(station, year, daily, asked)
    key = (station, year, daily, asked.changed, asked.often_wet)
    if key not in _KEPT or station == "HANG":
        _KEPT[key] = answer(station, year, daily, asked)
    return _KEPT[key]


def stations_db() -> bytes:
    """The table of stations: a near one without precipitation, a good one, one that ceased, one far up, one
    that tells neither height nor how much it has."""
    rows = [
        ("NEAR", "Near Moor", 46.65, -95.02, 382), ("GOOD1", "Middle Moor", 46.75, -95.10, 391),
        ("OLD", "Old Moor", 46.61, -95.0, 380), ("HIGH", "High Moor", 46.62, -95.01, 900),
        ("BLANK", "Blank Moor", 46.9, -95.2, None),
    ]  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stations.db"
        db = sqlite3.connect(path)
        db.execute(
            "CREATE TABLE stations (id, country, region, latitude REAL, longitude REAL, elevation, timezone)"
        )
        db.execute("CREATE TABLE names (station, language, name)")
        db.execute("CREATE TABLE identifiers (station, key, value)")
        db.execute("CREATE TABLE inventory (station, provider, parameter, start, end, completeness REAL)")
        for number, name, lat, lon, height in rows:
            db.execute(
                "INSERT INTO stations VALUES (?,?,?,?,?,?,?)", (number, "XX", "", lat, lon, height, "UTC")
            )
            db.execute("INSERT INTO names VALUES (?, 'en', ?)", (number, name))
            last = "2019-05-01" if number == "OLD" else pd.Timestamp.now("UTC").strftime("%Y-%m-%d")
            for parameter in ("temp", "rhum", "wspd", "prcp", "snwd", "coco"):
                if not (number == "NEAR" and parameter == "prcp"):
                    db.execute(
                        "INSERT INTO inventory VALUES (?,?,?,?,?,?)",
                        (number, "isd_lite", parameter, "2015-01-01", last, DB_SHARE.get(number)),
                    )
        db.commit()
        db.close()
        return path.read_bytes()


def stations_answer(asked: Asked) -> tuple[int, bytes]:
    """Status and body for the table of stations."""
    if asked.stations == "S500":
        return 500, b"broken"
    if asked.stations == "HANG":
        time.sleep(HANGS)
    return 200, b"<html></html>" * 99 if asked.stations == "HTML" else stations_db()


def _handler(asked: Asked) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.paths.append(self.path)
            parts = self.path.strip("/").split("/")
            station = parts[-1].removesuffix(".csv.gz")
            if asked.acts_as and station.isalnum():
                station = asked.acts_as
            if parts[-1] == "stations.db":
                status, body = stations_answer(asked)
            elif station == "RESET":
                self.connection.shutdown(socket.SHUT_RDWR)
                return
            else:
                status, body = kept_answer(station, int(parts[1]), parts[0] == "daily", asked)
                body = asked.spoils(body)
            try:
                self.send_response(status)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body[: len(body) // 2] if station == "SHORT" else body)
            except (BrokenPipeError, ConnectionResetError):
                return

        def log_message(self, *_: object) -> None:
            return

    return Handler


_RUNNING: list[Asked] = []


def running_server() -> Asked:
    """The one server of a test run, and the library told of it by the environment before its first use.

    The library keeps its addresses from then on, so the server stays until the end of the run.
    """
    if not _RUNNING:
        assert "meteostat" not in sys.modules, "something used the library before these tests"
        asked = Asked()
        server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(asked))
        server.daemon_threads = True
        Thread(target=server.serve_forever, daemon=True).start()
        asked.address = f"http://127.0.0.1:{server.server_address[1]}"
        settings = {
            "MS_HOURLY_ENDPOINT": asked.address + "/hourly/{year}/{station}.csv.gz",
            "MS_DAILY_ENDPOINT": asked.address + "/daily/{year}/{station}.csv.gz",
            "MS_STATIONS_DB_ENDPOINTS": f'["{asked.address}/stations.db"]',
        }
        os.environ |= settings
        import meteostat.providers.meteostat.daily
        import meteostat.providers.meteostat.hourly  # noqa: F401

        for name in settings:
            del os.environ[name]
        _RUNNING.append(asked)
    return _RUNNING[0]
