"""Invented station files and the places they belong to."""

import os
from pathlib import Path

import pandas as pd
import pytest
import xarray as xr
from tests_weather_files import Place, invented_hours, write_station

from winterrisk.weather import complete, read_station


@pytest.fixture(scope="session")
def place() -> Place:
    return Place()


@pytest.fixture(scope="session")
def hours() -> pd.DataFrame:
    """Four years of invented hours."""
    return invented_hours("2020-07-01", "2024-02-29T23:00")


@pytest.fixture(scope="session")
def record(hours: pd.DataFrame, place: Place, tmp_path_factory: pytest.TempPathFactory) -> xr.Dataset:
    """The four years read and completed, nothing missing."""
    path = write_station(tmp_path_factory.mktemp("station"), hours)
    return complete(read_station(path), place, "invented")


@pytest.fixture(scope="session")
def field_data() -> Path:
    """The folder of field data; tests that need it are skipped where the environment does not name it."""
    folder = os.environ.get("WINTERRISK_FIELD_DATA")
    if not folder:
        pytest.skip("WINTERRISK_FIELD_DATA is not set: no field data here")
    return Path(folder)
