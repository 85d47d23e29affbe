"""Field files as weather and observations: columns as in the field data's own description."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.course.shade import horizon_of_measures
from winterrisk.microclimate.horizon import beam_seen
from winterrisk.microclimate.sun import diffuse_fraction
from winterrisk.science import air
from winterrisk.science.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS
from winterrisk.science.new_snow import new_snow_density
from winterrisk.weather import complete
from winterrisk.weather.sun_position import sun_position

DAY = 86400.0


@dataclass(frozen=True)
class Site:
    """What a person can tell of a measuring site (SITE.toml)."""

    name: str
    latitude: float
    longitude: float
    elevation: float = 0.0
    utc_offset: float = 0.0
    label: str = "start"
    soil: str = "loam"
    cover: str = "rough_grass"
    height_temperature: float = 2.0
    height_wind: float = 10.0
    height_from: str = "ground"
    precipitation: str = "total"
    horizon: Any = None
    near_water: bool = False
    start: dict[str, Any] = field(default_factory=dict)

    @property
    def timezone(self) -> str:
        """Fixed-offset zone of the site's own time."""
        hours = -round(self.utc_offset)
        return "UTC" if hours == 0 else f"Etc/GMT{hours:+d}"

    @property
    def ground(self) -> dict[str, Any]:
        """The column's ground: one soil for the whole depth, level, nothing ponds."""
        return {
            "soil": self.soil,
            "cover": self.cover,
            "slope": 0.02,
            "depression_storage": 1.0,
            "drainage": "good",
        }

    @property
    def attrs(self) -> dict[str, Any]:
        """Attributes of the zone weather."""
        return {
            "timezone": self.timezone,
            "height_temperature": self.height_temperature,
            "height_wind": self.height_wind,
            "height_from": self.height_from,
        }


def read_site(path: Path) -> Site:
    """The site of a SITE.toml."""
    return Site(**tomllib.loads(path.read_text(encoding="utf-8")))


def read_table(path: Path) -> pd.DataFrame:
    """A field file; empty cells are NaN."""
    return pd.read_csv(path)


def kind_of(table: pd.DataFrame) -> str:
    """hourly | daily | airport | driven: what the columns say a file is."""
    have = set(table.columns)
    if {"time_utc", "t_air_c"} <= have:
        return "hourly"
    if "tmax_f" in have:
        return "airport"
    if "t_max_c" in have:
        return "daily"
    if "t_5cm_c" in have:
        return "driven"
    raise SystemExit(f"columns not known: {sorted(have)[:8]}; see the field data's description")


def hour_starts(times: pd.Series, label: str, utc_offset: float = 0.0) -> np.ndarray:
    """UTC start of each hour from labels at its start, centre or end; centred values are averaged in
    pairs."""
    shift = {"start": 0.0, "centre": 0.0, "end": 1.0}[label]
    return (pd.to_datetime(times) - pd.Timedelta(hours=shift + utc_offset)).values


def hourly_weather(table: pd.DataFrame, site: Site) -> xr.Dataset:
    """Zone weather of a file with hourly radiation."""
    t = table["t_air_c"].to_numpy(float)
    if "pressure_pa" in table:
        pressure = table["pressure_pa"].to_numpy(float) / 100.0
    elif "pressure_kpa" in table:
        pressure = table["pressure_kpa"].to_numpy(float) * 10.0
    else:
        pressure = np.full(len(t), float(air.pressure_at_height(site.elevation)))
    if "lw_in_wm2" in table:
        longwave = table["lw_in_wm2"].to_numpy(float)
    else:
        emissivity = np.minimum(1.0, table["sky_emissivity"].to_numpy(float))
        longwave = emissivity * STEFAN_BOLTZMANN * (t + ZERO_CELSIUS) ** 4
    dew = np.asarray(air.dew_point_from_humidity(t, table["rh_pct"].to_numpy(float) / 100.0))
    if site.precipitation == "split":
        snow, rain = table["snowfall_mm"].to_numpy(float), table["rainfall_mm"].to_numpy(float)
        falling = snow + rain
        share = np.divide(snow, falling, out=np.zeros_like(snow), where=falling > 0)
    else:
        name = "precip_mm" if "precip_mm" in table else "precip_mm_day_spread_evenly"
        falling = table[name].to_numpy(float)
        vapour = np.asarray(air.vapour_pressure_water(dew))
        share = np.asarray(air.snow_fraction(air.wet_bulb(t, vapour, pressure)))
    values = {
        "air_temperature": t,
        "dew_point": dew,
        "wind_speed": table["wind_ms"].to_numpy(float),
        "precipitation": falling,
        "surface_pressure": pressure,
        "shortwave_down": table["sw_in_wm2"].to_numpy(float),
        "longwave_down": longwave,
        "snow_fraction": share,
    }
    filled = {name: pd.Series(v).interpolate(limit_direction="both").to_numpy() for name, v in values.items()}
    filled["precipitation"] = np.nan_to_num(falling)
    if site.label == "centre":
        filled = {name: 0.5 * (v + np.append(v[1:], v[-1])) for name, v in filled.items()}
    starts = hour_starts(table["time_utc"], site.label)
    data = {n: ("time", v) for n, v in filled.items()}
    return behind_horizon(xr.Dataset(data, coords={"time": starts}, attrs=site.attrs), site)


def behind_horizon(weather: xr.Dataset, site: Site) -> xr.Dataset:
    """The weather with the beam hidden where the sun stands below the site's horizon; light from the sky stays.

    The horizon is one elevation all round, elevations evenly spaced from north clockwise, or elevations by name of
    direction [degrees].
    """
    if site.horizon is None:
        return weather
    if isinstance(site.horizon, Mapping):
        horizon: Sequence[float] = horizon_of_measures(site.horizon)
    else:
        horizon = np.ravel(np.asarray(site.horizon, dtype=float)).tolist()
    times = weather["time"].values
    elevation, azimuth = sun_position(times, site.latitude, site.longitude, site.elevation)
    sun = np.maximum(weather["shortwave_down"].values, 0.0)
    beam = sun * (1.0 - diffuse_fraction(sun, elevation, times))
    hidden = 1.0 - beam_seen(elevation, azimuth, horizon)
    return weather.assign(shortwave_down=("time", sun - hidden * beam))


def with_measured_snowfall(weather: xr.Dataset, table: pd.DataFrame, site: Site) -> xr.Dataset:
    """The weather with the day's snow as its measured depth says it instead of the gauge: depth times the density of
    new snow at the day's mean temperature; what the gauge caught more on a day above freezing fell as rain."""
    low, high = (table["tmin_f"] - 32.0) / 1.8, (table["tmax_f"] - 32.0) / 1.8
    density = new_snow_density(((low + high) / 2.0).to_numpy(float))
    snow = table["snowfall_in"].to_numpy(float) * 0.0254 * density
    gauged = table["precip_in"].to_numpy(float) * 25.4
    rain = np.where((snow == 0.0) | (high > 0.0), np.maximum(gauged - snow, 0.0), 0.0)
    local = pd.DatetimeIndex(weather["time"].values) + pd.Timedelta(hours=site.utc_offset)
    day = pd.Index(pd.to_datetime(table["date"])).get_indexer(local.floor("D"))
    water = weather["precipitation"].values
    whole = np.bincount(day, water)[day]
    hour = np.where(whole > 0.0, water / np.where(whole > 0.0, whole, 1.0), 1.0 / np.bincount(day)[day])
    total = snow + rain
    share = np.divide(snow, total, out=np.zeros_like(snow), where=total > 0.0)
    given = weather.assign(precipitation=("time", hour * total[day]), snow_fraction=("time", share[day]))
    return given.assign_attrs(gauge="")


def daily_weather(table: pd.DataFrame, site: Site, path: int = 0) -> xr.Dataset:
    """Zone weather of a file of days, by the package's own way from days to hours and to what is not
    measured; each path has its rain at other hours."""
    days = pd.to_datetime(table["date"]).values.astype("datetime64[ns]")
    if "tmax_f" in table:
        values = {
            "air_temperature_max": (table["tmax_f"] - 32.0) / 1.8,
            "air_temperature_min": (table["tmin_f"] - 32.0) / 1.8,
            "precipitation": table["precip_in"] * 25.4,
        }
    else:
        values = {
            "air_temperature_max": table["t_max_c"],
            "air_temperature_min": table["t_min_c"],
            "precipitation": table["precip_mm"],
            "shortwave_down": table["solar_mj_m2"] * 1e6 / DAY,
            "relative_humidity": table["rh_avg_pct"] / 100.0,
            "wind_speed": table["t_max_c"] * 0.0 + 3.0,
        }
        values = {name: value.interpolate(limit=5) for name, value in values.items()}
        values["precipitation"] = table["precip_mm"].fillna(0.0)
    raw = xr.Dataset(
        {n: ("time", np.asarray(v, dtype=float)) for n, v in values.items()},
        coords={"time": days},
        attrs={"step": "daily", "station": site.name, "height_wind": 10.0, **site.attrs},
    )
    if "tmax_f" in table:  # the standard 8-inch gauge of those stations has no shield
        raw.attrs["gauge"] = "unshielded"
    weather = complete(raw, site, ("field scores", site.name, *([path] if path else [])))
    t, p = weather["air_temperature"].values, weather["surface_pressure"].values
    vapour = np.asarray(air.vapour_pressure_water(weather["dew_point"].values))
    weather["snow_fraction"] = ("time", np.asarray(air.snow_fraction(air.wet_bulb(t, vapour, p))))
    weather.attrs.update(site.attrs)
    return behind_horizon(weather, site)
