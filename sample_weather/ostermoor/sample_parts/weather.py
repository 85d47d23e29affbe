"""Hourly invented weather of Ostermoor that follows the spells: days first, then the hours between them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from .place import ELEVATION, LATITUDE, LONGITUDE
from .spells import spells, storms

FIRST_HOUR, LAST_HOUR = pd.Timestamp("2020-07-01T00:00"), pd.Timestamp("2026-02-28T23:00")
STANDARD_TIME = pd.Timedelta(hours=-6)
WARMEST_HOUR = 15  # local standard time
MOST_HUMID = 22.5  # degC, dew point


def wave(rng: np.random.Generator, steps: int, memory: float) -> np.ndarray:
    """Noise with mean 0 and standard deviation 1 in which a step keeps the share `memory` of the last one."""
    kicks = rng.standard_normal(steps)
    out = np.empty(steps)
    out[0] = kicks[0]
    for i in range(1, steps):
        out[i] = memory * out[i - 1] + np.sqrt(1 - memory**2) * kicks[i]
    return out


def ordinary_days(rng: np.random.Generator) -> pd.DataFrame:
    """Random days of a cold place: low, high, dew spread [degC], cloud [1], wind [m s-1], water [mm]."""
    margin = pd.Timedelta(days=2)
    days = pd.date_range(FIRST_HOUR.normalize() - margin, LAST_HOUR.normalize() + margin)
    season = np.cos(2 * np.pi * (days.day_of_year.to_numpy() - 201) / 365.25)
    front = wave(rng, len(days), 0.72)
    cloudiness = wave(rng, len(days), 0.45)
    wet = rng.random(len(days)) < 0.24 + 0.10 * (cloudiness > 0.3)
    cloud = 1 / (1 + np.exp(-1.3 * cloudiness - 0.1 + 0.4 * season))
    cloud = np.where(wet, 0.85 + 0.12 * cloud, cloud)
    mean = 4.7 + 17.2 * season + front * (3.9 - 0.9 * season)
    reach = (12.5 + 2.5 * season) * (1 - 0.6 * cloud)
    water = np.where(wet, rng.gamma(0.9, 3.6 + 2.4 * season), 0.0)
    return pd.DataFrame(
        {
            "low": mean - reach / 2,
            "high": mean + reach / 2,
            "dew_spread": 0.8 + 2.4 * (1 - cloud) + 0.4 * np.abs(wave(rng, len(days), 0.3)),
            "cloud": cloud,
            "wind": 3.3 * np.exp(0.28 * wave(rng, len(days), 0.5) + 0.12 * front * 0.5),
            "water": water,
        },
        index=days,
    )


def with_spells(days: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    """The same days with the imposed spells and the cloud of the storms put in."""
    out = days.copy()
    drift = np.clip(wave(rng, len(days), 0.65), -1.6, 1.6)
    for spell in spells():
        inside = (out.index >= spell.first) & (out.index <= spell.last)
        where = np.flatnonzero(inside)
        if not len(where):
            continue
        clouded = 0.8 * (out["cloud"][inside] - 0.5)
        out.loc[inside, "low"] = spell.low + spell.spread * (drift[inside] + clouded)
        out.loc[inside, "high"] = spell.high + spell.spread * drift[inside]
        out.loc[inside, "water"] = 0.0
        picked = np.sort(rng.choice(where, size=min(spell.wet_days, len(where)), replace=False))
        if len(picked):
            shares = rng.gamma(2.5, 1.0, len(picked))
            out.iloc[picked, out.columns.get_loc("water")] = spell.water * shares / shares.sum()
            out.iloc[picked, out.columns.get_loc("cloud")] = 0.93
        dry = np.setdiff1d(where, picked)
        out.iloc[dry, out.columns.get_loc("cloud")] = np.minimum(out["cloud"].to_numpy()[dry], 0.8)
    for storm in storms():
        out.loc[(storm.start + STANDARD_TIME).normalize(), "cloud"] = 0.98
    return out


def sun(times: pd.DatetimeIndex) -> np.ndarray:
    """Sine of the sun's elevation at Ostermoor for UTC times (series of Spencer 1971)."""
    angle = 2 * np.pi * (times.day_of_year.to_numpy() - 1 + (times.hour.to_numpy() - 12) / 24) / 365
    declination = (
        0.006918
        - 0.399912 * np.cos(angle)
        + 0.070257 * np.sin(angle)
        - 0.006758 * np.cos(2 * angle)
        + 0.000907 * np.sin(2 * angle)
    )
    equation = 229.18 * (
        0.000075
        + 0.001868 * np.cos(angle)
        - 0.032077 * np.sin(angle)
        - 0.014615 * np.cos(2 * angle)
        - 0.040849 * np.sin(2 * angle)
    )
    hours = times.hour.to_numpy() + times.minute.to_numpy() / 60 + LONGITUDE / 15 + equation / 60
    hour_angle = np.radians(15 * (hours - 12))
    latitude = np.radians(LATITUDE)
    level = np.cos(latitude) * np.cos(declination) * np.cos(hour_angle)
    return np.sin(latitude) * np.sin(declination) + level


def clear_sky(hours: pd.DatetimeIndex) -> np.ndarray:
    """Mean clear-sky shortwave [W m-2] of each hour from its start (Haurwitz 1945, twelve points an hour)."""
    total = np.zeros(len(hours))
    for minute in range(0, 60, 5):
        height = np.maximum(sun(hours + pd.Timedelta(minutes=minute + 2.5)), 1e-6)
        total += 1098 * height * np.exp(-0.057 / height)
    return total / 12 * (1 + 2e-5 * ELEVATION)


def sunrise(days: pd.DatetimeIndex) -> np.ndarray:
    """Hour of sunrise in local standard time, to the nearest quarter hour."""
    quarters = np.arange(16, 40) / 4
    heights = np.column_stack([sun(days - STANDARD_TIME + pd.Timedelta(hours=q)) for q in quarters])
    return quarters[np.argmax(heights > 0, axis=1)]


def hourly_temperature(days: pd.DataFrame, hours: pd.DatetimeIndex, rng: np.random.Generator) -> np.ndarray:
    """Air temperature [degC]: half cosines between sunrise lows and afternoon highs, with a small flutter."""
    start = (days.index - STANDARD_TIME).to_numpy().astype("datetime64[m]").astype(float) / 60
    knots = np.column_stack([start + sunrise(days.index), start + WARMEST_HOUR]).ravel()
    values = days[["low", "high"]].to_numpy().ravel()
    at = hours.to_numpy().astype("datetime64[m]").astype(float) / 60 + 0.5
    left = np.searchsorted(knots, at, side="right") - 1
    way = (at - knots[left]) / (knots[left + 1] - knots[left])
    smooth = values[left] + (values[left + 1] - values[left]) * (1 - np.cos(np.pi * way)) / 2
    return smooth + np.clip(0.25 * wave(rng, len(hours), 0.6), -0.45, 0.45)


def hourly_water(days: pd.DataFrame, hours: pd.DatetimeIndex, rng: np.random.Generator) -> np.ndarray:
    """Precipitation [mm] of each hour in tenths: a wet day falls in one block, storms at their own hours."""
    out = pd.Series(0.0, index=hours)
    for day, water in days["water"].items():
        if water < 0.3:
            continue
        length = int(np.clip(np.ceil(water / (0.6 if day.month in (11, 12, 1, 2, 3) else 1.6)), 2, 14))
        begin = day - STANDARD_TIME + pd.Timedelta(hours=int(rng.integers(0, 25 - length)))
        _pour(out, begin, length, water, rng)
    for storm in storms():
        _pour(out, storm.start, storm.hours, storm.water, rng)
    return out.to_numpy()


def hourly_dew_point(
    days: pd.DataFrame, hours: pd.DatetimeIndex, temperature: np.ndarray, water: np.ndarray
) -> np.ndarray:
    """Dew point [degC]: follows the lows of the days, nears the air in rain and snow."""
    mornings = days.index - STANDARD_TIME + pd.Timedelta(hours=7)
    mornings, at = (times.to_numpy().astype("datetime64[h]").astype(float) for times in (mornings, hours))
    low = np.interp(at, mornings, days["low"].to_numpy())
    spread = np.interp(at, mornings, days["dew_spread"].to_numpy())
    dry = low - spread + np.interp(low, [-5, 8], [0.55, 0.15]) * (temperature - low)
    wet = pd.Series((water > 0).astype(float)).rolling(7, center=True, min_periods=1).mean().to_numpy()
    dew = dry + np.where(water > 0, 1.0, wet) * np.maximum(temperature - 0.5 - dry, 0)
    return np.minimum(np.minimum(dew, MOST_HUMID), temperature - 0.1)


def _pour(out: pd.Series, begin: pd.Timestamp, length: int, water: float, rng: np.random.Generator) -> None:
    """Add `water` [mm] over `length` hours, in whole tenths that keep the total."""
    shares = rng.gamma(4.0, 1.0, length)
    steps = np.diff(np.round(np.concatenate([[0.0], np.cumsum(water * shares / shares.sum())]), 1))
    for hour, amount in zip(pd.date_range(begin, periods=length, freq="h"), steps, strict=True):
        if hour in out.index:
            out[hour] = round(out[hour] + amount, 1)


def true_weather(rng: np.random.Generator) -> pd.DataFrame:
    """The hours as they really were at the station, without gaps or faults and without snow depth."""
    hours = pd.date_range(FIRST_HOUR, LAST_HOUR, freq="h")
    days = with_spells(ordinary_days(rng), rng)
    mine = days.reindex((hours + STANDARD_TIME).normalize())
    temperature = hourly_temperature(days, hours, rng)
    water = hourly_water(days, hours, rng)
    cloud = np.clip(mine["cloud"].to_numpy() + 0.15 * wave(rng, len(hours), 0.8), 0, 1)
    cloud = np.where(water > 0, np.maximum(cloud, 0.9), cloud)
    dew = hourly_dew_point(days, hours, temperature, water)
    hour_of_day = (hours + STANDARD_TIME).hour.to_numpy()
    calm = np.where((mine["cloud"].to_numpy() < 0.35) & ((hour_of_day < 8) | (hour_of_day > 18)), 0.65, 1.0)
    breeze = 1 + 0.25 * np.cos(2 * np.pi * (hour_of_day - 14) / 24)
    wind = mine["wind"].to_numpy() * calm * breeze * np.exp(0.22 * wave(rng, len(hours), 0.7))
    return pd.DataFrame(
        {
            "air_temperature": temperature.round(1),
            "dew_point": dew.round(1),
            "wind_speed": np.clip(wind, 0.2, 16).round(1),
            "precipitation": water,
            "shortwave_down": (clear_sky(hours) * (1 - 0.75 * cloud**3.4)).round(0),
        },
        index=hours,
    )
