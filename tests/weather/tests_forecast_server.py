"""A local server that answers as the two free forecast services do, keeps their rules, and fails on demand."""

import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email.utils import formatdate
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

import numpy as np

HOUR = np.timedelta64(1, "h")


@dataclass
class Service:
    """What the server answers and what it was asked."""

    base: str = ""
    grid: dict[str, Any] = field(default_factory=dict)
    series: dict[str, Any] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    """Taken one a request, whatever it asks for; "ok" lets one through."""
    max_age: int = 0
    changed: float = 1_767_000_000.0
    status: int = 200
    grid_address: str = ""
    asked: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    stop: threading.Event = field(default_factory=threading.Event)

    def paths(self) -> list[str]:
        return [path for path, _ in self.asked]


class Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    service: Service

    def log_message(self, *_: object) -> None:
        pass

    def do_GET(self) -> None:
        service = self.service
        service.asked.append((self.path, dict(self.headers)))
        fault = service.faults.pop(0) if service.faults else "ok"
        if fault != "ok":
            self._fail(fault)
            return
        agent = self.headers.get("User-Agent", "")
        if "@" not in agent:
            self._problem(403, "Forbidden", "name a contact in User-Agent")
            return
        parts = urlsplit(self.path)
        if parts.path.startswith("/points/"):
            self._point(parts.path)
        elif parts.path.startswith("/gridpoints/"):
            self._send(service.grid, "application/geo+json")
        elif parts.path == "/locationforecast/2.0/complete":
            asked = {name: values[0] for name, values in parse_qs(parts.query).items()}
            decimals = max(len(asked[name].partition(".")[2]) for name in ("lat", "lon"))
            if decimals > 4 or "." in asked.get("altitude", "."):
                self._problem(403, "Forbidden", "too many decimals")
                return
            self._send(service.series, "application/json")
        else:
            self._problem(404, "Not Found", parts.path)

    def _point(self, path: str) -> None:
        service = self.service
        latitude = float(path.removeprefix("/points/").partition(",")[0])
        if not 17.0 < latitude < 72.0:
            self._problem(404, "Data Unavailable For Requested Point", "no grid")
            return
        address = service.grid_address or f"{service.base}/gridpoints/XYZ/10,20"
        self._send({"properties": {"forecastGridData": address}}, "application/geo+json", cached=3600)

    def _send(self, content: dict[str, Any], kind: str, cached: int | None = None) -> None:
        service = self.service
        modified = formatdate(service.changed, usegmt=True)
        if self.headers.get("If-Modified-Since") == modified:
            self.send_response(304)
            self.send_header("Expires", formatdate(time.time() + service.max_age, usegmt=True))
            self.send_header("Content-Length", "0")
            self.end_headers()
            return
        body = json.dumps(content).encode()
        self.send_response(service.status)
        self.send_header("Content-Type", kind)
        self.send_header("Last-Modified", modified)
        age = service.max_age if cached is None else cached
        self.send_header("Expires", formatdate(time.time() + age, usegmt=True))
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def _problem(self, status: int, title: str, detail: str, **headers: str) -> None:
        body = json.dumps({"title": title, "status": status, "detail": detail}).encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/problem+json")
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def _fail(self, fault: str) -> None:
        if fault == "expired":
            told = "The requested forecast grid was issued 2026-01-08T02:50:40+00:00 and has expired."
            self._problem(503, "Forecast Grid Expired", told)
        elif fault == "500":
            self._problem(500, "Unexpected Problem", "An unexpected problem has occurred.")
        elif fault == "429":
            self._problem(429, "Too Many Requests", "slow down", Retry_After="0")
        elif fault == "429 for long":
            self._problem(429, "Too Many Requests", "slow down", Retry_After="3600")
        elif fault == "page":
            body = b"<!DOCTYPE html><html><body>Sign in to the club's network</body></html>"
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)
        elif fault == "cut":
            self.send_response(200)
            self.send_header("Content-Length", "5000")
            self.end_headers()
            self.wfile.write(b'{"properties": {')
            self.close_connection = True
        elif fault == "hang":
            self.service.stop.wait(5.0)
            self.close_connection = True
        elif fault == "drip":
            self.send_response(200)
            self.send_header("Content-Length", "1000000")
            self.end_headers()
            while not self.service.stop.wait(0.05):
                self.wfile.write(b" ")
                self.wfile.flush()
        elif fault == "away":
            self.send_response(302)
            self.send_header("Location", "http://192.0.2.1/elsewhere")
            self.send_header("Content-Length", "0")
            self.end_headers()
        else:
            raise AssertionError(fault)


@contextmanager
def serving() -> Iterator[Service]:
    """The server on a free port of this machine."""
    service = Service()
    handler = type("OneHandler", (Handler,), {"service": service})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.daemon_threads = True
    service.base = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield service
    finally:
        service.stop.set()
        server.shutdown()
        server.server_close()
        thread.join(5.0)


def iso(hour: np.datetime64) -> str:
    return f"{np.datetime64(hour).astype('datetime64[s]')}+00:00"


def layer(first: np.datetime64, runs: list[tuple[int, float | None]], uom: str) -> dict[str, Any]:
    """A layer of a grid answer: runs of (hours, value) one after another."""
    values, at = [], np.datetime64(first)
    for hours, value in runs:
        days, rest = divmod(hours, 24)
        length = "P" + (f"{days}D" if days else "") + (f"T{rest}H" if rest else "")
        values.append({"validTime": f"{iso(at)}/{length}", "value": value})
        at = at + hours * HOUR
    return {"uom": uom, "values": values}


def grid_answer(first: np.datetime64, issued: np.datetime64, **layers: dict[str, Any]) -> dict[str, Any]:
    """A grid answer with these layers, as the US service words it."""
    start = {
        "@id": "https://api.weather.gov/gridpoints/XYZ/10,20",
        "updateTime": iso(issued),
        "elevation": {"unitCode": "wmoUnit:m", "value": 420.0},
    }
    return {"type": "Feature", "properties": start | layers}


MET_UNITS = {
    "air_pressure_at_sea_level": "hPa",
    "air_temperature": "celsius",
    "air_temperature_max": "celsius",
    "air_temperature_min": "celsius",
    "cloud_area_fraction": "%",
    "dew_point_temperature": "celsius",
    "precipitation_amount": "mm",
    "probability_of_precipitation": "%",
    "relative_humidity": "%",
    "wind_speed": "m/s",
}


def series_answer(
    first: np.datetime64, issued: np.datetime64, hourly: int = 54, six_hourly: int = 28
) -> dict[str, Any]:
    """A location forecast: hourly at first, then six-hourly; temperature falls 0.1 K an hour from 2 degC.

    0.3 mm fall in every hourly hour, 3 mm in every six.
    """
    series = []
    for hour in [*range(hourly), *(hourly + 6 * k for k in range(six_hourly))]:
        details = {
            "air_pressure_at_sea_level": 1010.0,
            "air_temperature": round(2.0 - 0.1 * hour, 2),
            "cloud_area_fraction": 75.0,
            "dew_point_temperature": round(0.5 - 0.1 * hour, 2),
            "relative_humidity": 90.0,
            "wind_speed": 4.0,
        }
        data: dict[str, Any] = {"instant": {"details": details}}
        if hour < hourly:
            data["next_1_hours"] = {
                "details": {"precipitation_amount": 0.3, "probability_of_precipitation": 60.0}
            }
        ends = details["air_temperature"], round(2.0 - 0.1 * (hour + 6), 2)
        data["next_6_hours"] = {
            "details": {
                "precipitation_amount": 3.0,
                "air_temperature_max": max(ends),
                "air_temperature_min": min(ends),
            }
        }
        at = str((np.datetime64(first) + hour * HOUR).astype("datetime64[s]")) + "Z"
        series.append({"time": at, "data": data})
    meta = {"updated_at": str(issued.astype("datetime64[s]")) + "Z", "units": dict(MET_UNITS)}
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-95.0, 46.6, 380]},
        "properties": {"meta": meta, "timeseries": series},
    }
