"""The weather of an invented winter as two services on this machine tell it: what was measured, and what is ahead.

Both know the simulated clock and nothing after it but the forecast, which is the weather to come, blurred with lead.
"""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from email.utils import formatdate
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import numpy as np
import pandas as pd
from tests_forecast_server import MET_UNITS

from winterrisk.science.keyed import generator

STATION = "INVENTED"
HOUR = pd.Timedelta(hours=1)
AHEAD = 72
"""Hours that the forecast has one by one."""


def sample_hours(sample: Path) -> pd.DataFrame:
    """The sample's hours by UTC time, missing ones left out."""
    rows = pd.read_csv(sample / "station.csv", comment="#", parse_dates=["time"], index_col="time")
    return rows.apply(pd.to_numeric, errors="coerce")


def as_history(rows: pd.DataFrame) -> pd.DataFrame:
    """The hours in the columns and units of the open history."""
    water = 17.27 * rows / (237.7 + rows)
    humid = 100.0 * np.exp(water["dew_point"] - water["air_temperature"])
    return pd.DataFrame(
        {
            "temp": rows["air_temperature"], "rhum": humid.round(0).clip(1, 100), "prcp": rows["precipitation"],
            "snwd": (rows["snow_depth"] * 100).round(0), "wspd": (rows["wind_speed"] * 3.6).round(1),
        }
    )  # fmt: skip


@dataclass
class WeatherOffice:
    """Hours, clock [UTC], and whether a request fails."""

    hours: pd.DataFrame
    clock: np.datetime64
    fails: Callable[[], bool] = lambda: False
    base: str = ""
    requests: int = 0

    def __post_init__(self) -> None:
        self.history = as_history(self.hours)
        self.whole = self.hours.resample("h").asfreq().interpolate("time")

    def measured(self) -> pd.DataFrame:
        """Hours of the history that are over."""
        return self.history[self.history.index + HOUR <= pd.Timestamp(self.clock)]

    def forecast(self) -> dict[str, Any]:
        """A location forecast for the hours ahead."""
        first = pd.Timestamp(self.clock).floor("h")
        rows = self.whole.reindex(pd.date_range(first, periods=AHEAD, freq="h")).ffill()
        error = generator("forecast", str(first)).normal(size=AHEAD).cumsum() * 0.15
        series = []
        for n, (time, row) in enumerate(rows.iterrows()):
            details = {
                "air_temperature": round(row["air_temperature"] + error[n], 1), "wind_speed": row["wind_speed"],
                "dew_point_temperature": round(row["dew_point"] + error[n], 1), "cloud_area_fraction": 60.0,
                "air_pressure_at_sea_level": 1010.0,
            }  # fmt: skip
            rain = {"details": {"precipitation_amount": round(float(row["precipitation"]), 1)}}
            data = {"instant": {"details": details}, "next_1_hours": rain}
            series.append({"time": f"{time:%Y-%m-%dT%H:%M:%S}Z", "data": data})
        meta = {"updated_at": f"{first:%Y-%m-%dT%H:%M:%S}Z", "units": dict(MET_UNITS)}
        return {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-95.0, 46.6, 380]},
            "properties": {"meta": meta, "timeseries": series},
        }


def _handler(office: WeatherOffice) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            office.requests += 1
            if office.fails():
                status, body = 503, b"{}"
            else:
                status, body = 200, json.dumps(office.forecast()).encode()
            now = float(office.clock.astype("datetime64[s]").astype(int))
            self.send_response(status)
            self.send_header("Content-Type", "application/json")
            self.send_header("Last-Modified", formatdate(now, usegmt=True))
            self.send_header("Expires", formatdate(now + 1800, usegmt=True))
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            return

    return Handler


@contextmanager
def weather_office(sample: Path, clock: np.datetime64) -> Iterator[WeatherOffice]:
    """The forecast service on this machine; the history is the server of `meteostat_server`."""
    office = WeatherOffice(sample_hours(sample), clock)
    server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(office))
    server.daemon_threads = True
    Thread(target=server.serve_forever, args=(0.02,), daemon=True).start()
    office.base = f"http://127.0.0.1:{server.server_address[1]}"
    try:
        yield office
    finally:
        server.shutdown()
        server.server_close()
