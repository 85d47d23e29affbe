"""Made-up weather for the column's tests: invented hours, no station."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.science import air

FLAT = {
    "build": "push-up",
    "thatch": 0.015,
    "drainage": "poor",
    "depression_storage": 15.0,
    "slope": 0.005,
    "exposure": 0.0,
    "snow_gain": 1.0,
    "cover": "mown_green",
}
DRAINING = FLAT | {"build": "sand", "drainage": "good", "depression_storage": 1.0, "slope": 0.03}
COOL_GROUND = ([0.0, 0.3, 1.0, 3.0], [-1.0, 1.0, 4.0, 8.0])
"""Depths [m] and temperatures [degC] of ground in early winter."""


def zone_weather(values: dict[str, Any], start: str, **attrs: Any) -> xr.Dataset:
    """Zone weather from arrays of air_temperature, humidity, rain, snow, sun, wind and sky emissivity."""
    t = np.asarray(values["air"], dtype=float)
    n = len(t)
    full = {k: np.broadcast_to(np.asarray(v, dtype=float), n) for k, v in values.items()}
    dew = np.asarray(air.dew_point_from_humidity(t, full["humidity"]))
    falling = full["rain"] + full["snow"]
    share = np.divide(full["snow"], falling, out=np.zeros(n), where=falling > 0)
    data = {
        "air_temperature": t,
        "dew_point": dew,
        "wind_speed": full["wind"],
        "precipitation": falling,
        "surface_pressure": np.full(n, 980.0),
        "shortwave_down": full["sun"],
        "longwave_down": full["sky"] * 5.67e-8 * (t + 273.15) ** 4,
        "snow_fraction": share,
    }
    return xr.Dataset(
        {k: ("time", v) for k, v in data.items()},
        coords={"time": pd.date_range(start, periods=n, freq="h")},
        attrs={
            "timezone": "UTC",
            "height_temperature": 2.0,
            "height_wind": 10.0,
            "height_from": "ground",
            **attrs,
        },
    )


def spells(
    *parts: tuple[int, dict[str, float | Callable[[int], float]]], start: str = "2025-01-01"
) -> xr.Dataset:
    """Zone weather of spells one after another: hours, then what differs from a calm grey winter hour."""
    usual = {"air": -5.0, "humidity": 0.85, "rain": 0.0, "snow": 0.0, "sun": 0.0, "wind": 3.0, "sky": 0.80}
    rows = [
        {k: (v(h) if callable(v) else v) for k, v in (usual | given).items()}
        for hours, given in parts
        for h in range(hours)
    ]
    return zone_weather({k: np.array([row[k] for row in rows]) for k in usual}, start)


def random_winter(seed: int, days: int = 240, mean: float = 3.0, wet: float = 0.08) -> xr.Dataset:
    """A random winter from 1 September, invented: swings, rain, snow, sun; the same seed gives the same
    winter."""
    rng = np.random.default_rng(seed)
    n = 24 * days
    hour = np.arange(n) % 24
    doy = 244 + np.arange(n) / 24.0
    spell = np.repeat(np.convolve(rng.normal(0, 7, days + 4), np.ones(3) / 3, "same")[:days], 24)
    t = mean + 13 * np.cos((doy - 200) / 365 * 2 * np.pi) + 4 * np.cos((hour - 20) / 24 * 2 * np.pi) + spell
    falling = np.where(rng.random(n) < wet, rng.exponential(1.2, n), 0.0)
    share = np.asarray(air.snow_fraction(t - 1.0))
    top = 350 + 250 * np.cos((doy - 172) / 365 * 2 * np.pi)
    sun = np.maximum(0, np.sin((hour - 6) / 12 * np.pi)) * top * rng.choice([0.3, 0.7, 1.0], n)
    return zone_weather(
        {
            "air": t,
            "humidity": rng.uniform(0.6, 1.0, n),
            "rain": falling * (1 - share),
            "snow": falling * share,
            "sun": sun,
            "wind": rng.gamma(2, 1.5, n),
            "sky": rng.uniform(0.7, 0.97, n),
        },
        "2024-09-01",
    )


def event(time: str, kind: str, value: float = float("nan"), **more: Any) -> dict[str, Any]:
    """One row of events, seen by an invented keeper."""
    row = {"time": time, "until": None, "zone": "", "kind": kind, "value": value, "unit": None, "share": 1.0}
    return row | {"who": "Iris", "known": time, "detail": ""} | more
