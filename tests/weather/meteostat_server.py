"""A server on this machine that speaks the open history's real formats, and fails in every way it can.

The number of a station says how it behaves: GOOD*, S404, S500, HANG, CUT, EMPTY, HEADER, NOSOURCE, HTML, MODEL,
DEPTHMM, CHANGES. Stations, places and values are invented.
"""

import gzip
import io
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
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


def hours(year: int) -> pd.DataFrame:
    """A year of invented hours: a course of year and day, rain every tenth hour, snow in winter."""
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


def csv_of(frame: pd.DataFrame, columns: tuple[str, ...], source: str, daily: bool = False) -> str:
    """Rows as the history writes them: parts of the time, then value and source of each column."""
    out = pd.DataFrame({"year": frame.index.year, "month": frame.index.month, "day": frame.index.day})
    if not daily:
        out["hour"] = frame.index.hour
    for name in columns:
        out[name] = frame[name].to_numpy()
        out[f"{name}_source"] = np.where(frame[name].isna(), "", source)
    return out.to_csv(index=False)


def days(year: int) -> pd.DataFrame:
    """The same year day by day."""
    whole = hours(year)
    by_day = whole.resample("D")
    frame = by_day.mean()
    frame["tmin"], frame["tmax"] = by_day["temp"].min().round(1), by_day["temp"].max().round(1)
    frame["prcp"] = by_day["prcp"].sum().round(1)
    return frame.round(1)


@dataclass
class Asked:
    """What was asked of the server, in order."""

    paths: list[str] = field(default_factory=list)
    changed: bool = False


def answer(station: str, year: int, daily: bool, asked: Asked) -> tuple[int, bytes]:
    """Status and body for one yearly file of a station."""
    if station == "S404" or year < FIRST_YEAR or year > LAST.year:
        return 404, b"no such file"
    if station == "S500":
        return 500, b"broken"
    if station == "HANG":
        time.sleep(HANGS)
    columns = DAILY if daily else HOURLY
    frame = (days if daily else hours)(year)
    frame = frame[frame.index <= LAST]
    source = "dwd_mosmix" if station == "MODEL" else "dwd_poi" if station == "DEPTHMM" else "isd_lite"
    if station == "DEPTHMM":
        frame["snwd"] = frame["snwd"] * 10
    if station == "CHANGES" and asked.changed:
        frame.loc[frame.index[5], "temp"] = -33.3
    if station == "HEADER":
        frame = frame.iloc[:0]
    text = csv_of(frame, columns, "" if station == "NOSOURCE" else source, daily)
    if station == "EMPTY":
        text = ""
    body = gzip.compress(text.encode())
    if station == "CUT":
        body = body[: len(body) // 2]
    if station == "HTML":
        body = b"<html><body>Please accept our terms.</body></html>"
    return 200, body


def stations_db() -> bytes:
    """The table of stations: a near one without precipitation, a good one, one that ceased, one far up."""
    rows = [
        ("NEAR", "Near Moor", 46.65, -95.02, 382), ("GOOD1", "Middle Moor", 46.75, -95.10, 391),
        ("OLD", "Old Moor", 46.61, -95.0, 380), ("HIGH", "High Moor", 46.62, -95.01, 900),
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
            for parameter in ("temp", "rhum", "wspd", "prcp", "snwd"):
                if not (number == "NEAR" and parameter == "prcp"):
                    share = 0.97 if number != "NEAR" else 0.95
                    db.execute(
                        "INSERT INTO inventory VALUES (?,?,?,?,?,?)",
                        (number, "isd_lite", parameter, "2015-01-01", last, share),
                    )
        db.commit()
        db.close()
        return path.read_bytes()


@contextmanager
def history_server() -> Iterator[tuple[str, Asked]]:
    """A running server: its address, and what it was asked."""
    asked = Asked()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.paths.append(self.path)
            parts = self.path.strip("/").split("/")
            if parts[-1] == "stations.db":
                status, body = 200, stations_db()
            else:
                station = parts[2].removesuffix(".csv.gz")
                status, body = answer(station, int(parts[1]), parts[0] == "daily", asked)
            try:
                self.send_response(status)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(io.BytesIO(body).getvalue())
            except (BrokenPipeError, ConnectionResetError):
                return

        def log_message(self, *_: object) -> None:
            return

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}", asked
    finally:
        server.shutdown()
        server.server_close()
