"""A forecast from a NetCDF file in the course folder: an ensemble, or a single one."""

import datetime as dt
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.forecast_members import ensemble_forecast
from winterrisk.weather.refused import WeatherError

CLASSIC, MODERN, GRIB = b"CDF", b"\x89HDF", b"GRIB"
"""First bytes of the old and the new NetCDF form, and of GRIB."""
LARGEST: Final = 400 * 2**20
"""Most values that are read [bytes] (judged: 50 members of 15 days over some 30 x 30 cells)."""
READERS: Final = {"netCDF4": "netcdf4", "h5netcdf": "h5netcdf"}
"""Module that reads the new form -> its name in xarray."""


def read_forecast_file(
    path: str | Path,
    latitude: float,
    longitude: float,
    *,
    received: np.datetime64 | None = None,
    accumulated: bool | None = None,
) -> xr.Dataset:
    """Forecast (time[, member]) of a NetCDF file for a place, hourly, in our units.

    Args:
        path: the file; latitude, longitude [degrees]: the nearest cell is taken.
        received: UTC; else when the file was last written.
        accumulated: precipitation counts from the issue on; None: seen from its values.
    Raises:
        WeatherError: no such file, a form that cannot be read here, or content that is no forecast.
    """
    file = Path(path)
    engine = _engine(file)
    when = received if received is not None else _written(file)
    try:
        with xr.open_dataset(file, engine=engine) as grid:
            if grid.nbytes > LARGEST:
                found = f"{grid.nbytes / 2**20:,.0f} MB of values"
                move = "cut the file out round your course, and to the variables you need"
                raise WeatherError(Fault(str(file), found, f"up to {LARGEST // 2**20} MB", move))
            return ensemble_forecast(
                grid.load(),
                latitude,
                longitude,
                source=f"file {file.name}",
                received=when,
                licence=str(grid.attrs.get("license") or grid.attrs.get("licence") or ""),
                credit=str(grid.attrs.get("institution") or ""),
                accumulated=accumulated,
            )
    except WeatherError:
        raise
    except Exception as fault:
        found = f"content that cannot be read ({str(fault)[:80]})"
        raise WeatherError(Fault(str(file), found, "a whole NetCDF file", "fetch it again")) from fault


def _engine(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            first = opened.read(4)
    except OSError as fault:
        move = "see [forecast] file in course.toml: it starts at the course folder"
        reason = (fault.strerror or "no file").lower()
        raise WeatherError(Fault(str(file), reason, "a NetCDF file", move)) from fault
    if first.startswith(CLASSIC):
        return "scipy"
    if first.startswith(GRIB):
        raise WeatherError(Fault(str(file), "a GRIB file", "NetCDF", "turn it into NetCDF before"))
    if not first.startswith(MODERN):
        raise WeatherError(Fault(str(file), "another kind of file", "NetCDF", "see what writes it"))
    for module, name in READERS.items():
        if find_spec(module) is not None:
            return name
    raise WeatherError(
        Fault(
            str(file),
            "a NetCDF-4 file, and nothing here that reads it",
            "the package netCDF4, or a file in the classic form",
            'run: pip install "winterrisk[netcdf]"',
        )
    )


def _written(file: Path) -> np.datetime64:
    when = dt.datetime.fromtimestamp(file.stat().st_mtime, dt.UTC)
    return np.datetime64(when.replace(tzinfo=None), "s")
