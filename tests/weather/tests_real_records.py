"""Real and invented records as a course would hand them in, for the checks."""

from importlib import resources
from pathlib import Path

import numpy as np
import pandas as pd
import xarray as xr
from tests_weather_files import Place

from winterrisk.science.air import dew_point_from_humidity
from winterrisk.weather.units import INCH


def record(times, values: dict[str, np.ndarray], step: str, place: Place, station: str) -> xr.Dataset:
    """A record (time) as `read_station` gives it."""
    data = {name: ("time", np.asarray(v, dtype=np.float64)) for name, v in values.items()}
    attrs = {"step": step, "timezone": place.timezone, "station": station}
    return xr.Dataset(data, coords={"time": np.asarray(times, dtype="datetime64[ns]")}, attrs=attrs)


def champion() -> tuple[xr.Dataset, Place]:
    """37 years of days of a place in Nebraska, from the data of the package aquacrop."""
    path = resources.files("aquacrop") / "data" / "champion_climate.txt"
    table = pd.read_csv(str(path), sep=r"\s+")
    days = pd.to_datetime(table[["Year", "Month", "Day"]])
    place = Place(40.67, -101.7, 1010.0, "America/Denver")
    values = {
        "air_temperature_max": table["Tmax(C)"],
        "air_temperature_min": table["Tmin(C)"],
        "precipitation": table["Prcp(mm)"],
    }
    return record(days, values, "daily", place, "Champion"), place


def airport(folder: Path) -> tuple[xr.Dataset, Place]:
    """30 years of days of a Great Lakes airport, in whole degF and inches."""
    table = pd.read_csv(folder / "great_lakes_airport_daily_1960_1990.csv")
    place = Place(42.95, -87.90, 205.0, "America/Chicago")
    values = {
        "air_temperature_max": (table["tmax_f"] - 32.0) / 1.8,
        "air_temperature_min": (table["tmin_f"] - 32.0) / 1.8,
        "precipitation": table["precip_in"] * INCH,
        "snow_depth": table["snow_depth_in"] * INCH / 1000.0,
    }
    return record(pd.to_datetime(table["date"]), values, "daily", place, "airport"), place


def network(folder: Path) -> dict[str, tuple[xr.Dataset, Place]]:
    """A year of days of six stations of a climate network."""
    table = pd.read_csv(folder / "uscrn_2020_daily_6stations.csv")
    found = {}
    for name, one in table.groupby("station"):
        zone = "America/Anchorage" if name == "Kenai" else "America/Chicago"
        place = Place(float(one["lat"].iloc[0]), float(one["lon"].iloc[0]), 200.0, zone)
        values = {
            "air_temperature_max": one["t_max_c"],
            "air_temperature_min": one["t_min_c"],
            "precipitation": one["precip_mm"],
            "shortwave_down": one["solar_mj_m2"] * 1e6 / 86400.0,
            "relative_humidity": one["rh_avg_pct"] / 100.0,
        }
        found[str(name)] = (record(pd.to_datetime(one["date"]), values, "daily", place, str(name)), place)
    return found


def alpine(folder: Path) -> tuple[xr.Dataset, Place]:
    """A winter of hours of an alpine site."""
    table = pd.read_csv(folder / "cdp_2005_2006_hourly.csv")
    place = Place(45.30, 5.77, 1325.0, "Europe/Paris")
    values = {
        "air_temperature": table["t_air_c"],
        "dew_point": dew_point_from_humidity(table["t_air_c"], table["rh_pct"] / 100.0),
        "wind_speed": table["wind_ms"],
        "precipitation": table["snowfall_mm"] + table["rainfall_mm"],
        "surface_pressure": table["pressure_pa"] / 100.0,
        "shortwave_down": table["sw_in_wm2"],
        "snow_depth": table["obs_snow_depth_m"],
    }
    times = pd.to_datetime(table["time_utc"]) - pd.Timedelta(hours=1)
    return record(times, values, "hourly", place, "alpine site"), place


def northern(folder: Path) -> tuple[xr.Dataset, Place]:
    """A winter of hours of a clearing in the north."""
    table = pd.read_csv(folder / "sodankyla_2017_2018_hourly.csv")
    place = Place(67.367, 26.629, 179.0, "Europe/Helsinki")
    values = {
        "air_temperature": table["t_air_c"],
        "dew_point": dew_point_from_humidity(table["t_air_c"], table["rh_pct"] / 100.0),
        "wind_speed": table["wind_ms"],
        "precipitation": table["precip_mm_day_spread_evenly"],
        "surface_pressure": table["pressure_kpa"] * 10.0,
        "shortwave_down": table["sw_in_wm2"],
        "snow_depth": table["obs_snow_depth_cm"] / 100.0,
    }
    return record(pd.to_datetime(table["time_utc"]), values, "hourly", place, "northern clearing"), place


def planted(raw: xr.Dataset, name: str, first: str, values) -> xr.Dataset:
    """A copy of a record with other values from `first` on."""
    out = raw.copy(deep=True)
    at = int(np.searchsorted(out["time"].to_numpy(), np.datetime64(first)))
    there = out[name].to_numpy()
    new = np.atleast_1d(np.asarray(values, dtype=np.float64))
    there[at : at + len(new)] = new
    return out


def turned(raw: xr.Dataset, name: str, first: str, last: str, change) -> xr.Dataset:
    """A copy of a record with `change` applied to the values from `first` to before `last`."""
    out = raw.copy(deep=True)
    a, b = np.searchsorted(out["time"].to_numpy(), [np.datetime64(first), np.datetime64(last)])
    there = out[name].to_numpy()
    there[a:b] = change(there[a:b])
    return out
