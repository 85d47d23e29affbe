"""Courses on real records for the stories: invented courses and people, weather that was measured.

Champion (Nebraska): `champion_climate.txt` of the package aquacrop (AquaCrop-OSPy, Kelly and Foster 2021), lowest and
highest temperature and precipitation of each day, 1982 to 2018. A Great Lakes airport 1960 to 1990 (GHCN-Daily, Menne
et al. 2012) in US units, and six stations of the US Climate Reference Network in 2020 (Diamond et al. 2013): found in
the folder named by WINTERRISK_FIELD_DATA, never part of this repository.
"""

import os
from pathlib import Path
from typing import Final

import numpy as np
import pandas as pd
import pytest

FIELD: Final = os.environ.get("WINTERRISK_FIELD_DATA", "")
needs_field_data = pytest.mark.skipif(not FIELD, reason="WINTERRISK_FIELD_DATA is not set")
AIRPORT: Final = "great_lakes_airport_daily_1960_1990.csv"
CRN: Final = "uscrn_2020_daily_6stations.csv"
CRN_STATIONS: Final = {
    "Goodridge": "America/Chicago", "Necedah": "America/Chicago", "SiouxFalls": "America/Chicago",
    "OldTown": "America/New_York", "Chatham": "America/Detroit", "Kenai": "America/Anchorage",
}  # fmt: skip

TWO = """zones = [
    {name = "low", template = "low spot", share = 0.4},
    {name = "ridge", template = "ridge", share = 0.6},
]"""
SIX = """zones = [
    {name = "low", template = "low spot", share = 0.2},
    {name = "dam", template = "collar dam", share = 0.1},
    {name = "open", template = "open", share = 0.3},
    {name = "shade", template = "afternoon shade", share = 0.1},
    {name = "north", template = "north slope", share = 0.1},
    {name = "ridge", template = "ridge", share = 0.2},
]"""

_COURSE = """# Invented course and people; the weather was measured.
[place]
name = "{name}"
latitude = {latitude}
longitude = {longitude}
elevation = {elevation}
timezone = "{timezone}"
near_water = {near_water}
units = "{units}"
invented = true

[[areas]]
name = "7"
kind = "green"
size = 480
build = "push-up"
turf = {{creeping_bent = 0.6, annual_bluegrass = 0.4}}
{zones}

[station]
file = "days.csv"
name = "{station}"
latitude = {latitude}
longitude = {longitude}
elevation = {elevation}
step = "daily"

[station.columns]
time = "date"
{columns}

[[people]]
name = "Odd Farrow"
role = "superintendent (invented)"
"""


def champion_days() -> pd.DataFrame:
    """The Champion record as it came: Tmin(C), Tmax(C), Prcp(mm) by day."""
    aquacrop = pytest.importorskip("aquacrop", reason="aquacrop is not installed (extra: test)")
    table = pd.read_csv(Path(aquacrop.__file__).parent / "data" / "champion_climate.txt", sep=r"\s+")
    date = pd.to_datetime({"year": table["Year"], "month": table["Month"], "day": table["Day"]})
    return table.assign(date=date).set_index("date")[["Tmin(C)", "Tmax(C)", "Prcp(mm)"]]


def champion_course(folder: Path, days: pd.DataFrame, zones: str = TWO) -> Path:
    """A course beside Champion with these days of its record."""
    days.to_csv(folder / "days.csv", date_format="%Y-%m-%d")
    columns = (
        'air_temperature_min = {column = "Tmin(C)", unit = "degC"}\n'
        'air_temperature_max = {column = "Tmax(C)", unit = "degC"}\n'
        'precipitation = {column = "Prcp(mm)", unit = "mm"}'
    )
    return _written(
        folder, name="Sandhill Links", station="Champion", latitude=40.4, longitude=-101.7, elevation=1000,
        timezone="America/Denver", near_water="false", units="us", zones=zones, columns=columns,
    )  # fmt: skip


def airport_days() -> pd.DataFrame:
    """The airport's record in its own units, by day."""
    return pd.read_csv(Path(FIELD) / AIRPORT, parse_dates=["date"], index_col="date")


def airport_course(folder: Path, zones: str = TWO, *, depth: bool = True, near_water: bool = True) -> Path:
    """A course beside the airport; its record is the file as it stands, byte for byte.

    depth: name the column of snow depth too. near_water: say that its air comes off the lake, as it does.
    """
    (folder / "days.csv").write_bytes((Path(FIELD) / AIRPORT).read_bytes())
    columns = (
        'air_temperature_max = {column = "tmax_f", unit = "degF"}\n'
        'air_temperature_min = {column = "tmin_f", unit = "degF"}\n'
        'precipitation = {column = "precip_in", unit = "inch"}'
    )
    columns += '\nsnow_depth = {column = "snow_depth_in", unit = "inch"}' if depth else ""
    return _written(
        folder, name="Lakeshore Commons", station="Lake airport", latitude=42.95, longitude=-87.90, elevation=205,
        timezone="America/Chicago", near_water=str(near_water).lower(), units="us", zones=zones, columns=columns,
    )  # fmt: skip


def crn_course(folder: Path, station: str, zones: str = TWO) -> Path:
    """A course beside one of the six stations, with its year of days as they stand."""
    table = pd.read_csv(Path(FIELD) / CRN)
    own = table[table["station"] == station]
    own.to_csv(folder / "days.csv", index=False)
    columns = (
        'air_temperature_max = {column = "t_max_c", unit = "degC"}\n'
        'air_temperature_min = {column = "t_min_c", unit = "degC"}\n'
        'precipitation = {column = "precip_mm", unit = "mm"}\n'
        'shortwave_down = {column = "solar_mj_m2", unit = "MJ/m2/day"}\n'
        'relative_humidity = {column = "rh_avg_pct", unit = "percent"}'
    )
    return _written(
        folder, name=f"Links of {station} (invented)", station=station, latitude=own["lat"].iloc[0],
        longitude=own["lon"].iloc[0], elevation=300, timezone=CRN_STATIONS[station], near_water="false",
        units="metric", zones=zones, columns=columns,
    )  # fmt: skip


def _written(folder: Path, **words: object) -> Path:
    (folder / "course.toml").write_text(_COURSE.format(**words), encoding="utf-8")
    return folder


def freezing_index(mean: pd.Series, winter: str) -> float:
    """Air freezing index of a winter [K d]: the largest fall of the sum of daily means, July to June (the usual
    definition of frost engineers)."""
    year = int(winter[:4])
    total = mean[f"{year}-07-01" : f"{year + 1}-06-30"].cumsum().to_numpy()
    return float(np.max(np.maximum.accumulate(total) - total))


def by_winter(rows: list[dict], name: str) -> pd.Series:
    """A figure of each ranked winter, in the order of winters."""
    return pd.Series({row["winter"]: row[name] for row in rows}).sort_index()
