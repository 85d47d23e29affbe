"""What truly happened on each zone: a plain daily bookkeeping of snow, ice, soaking and kill.

It is deliberately not a model of physics. Its thresholds are its own, invented for this invented course.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import pandas as pd

from .place import ZONES, Zone, bluegrass
from .weather import STANDARD_TIME

HALF_DEAD_ICE_DAYS = {"annual_bluegrass": 52.0, "creeping_bent": 118.0}
ICE_STEEPNESS = 7.0
WINTER_KILL_TEMPERATURE = {"annual_bluegrass": -19.5, "creeping_bent": -34.0}  # degC, hardened
SOFTENING = {"annual_bluegrass": 0.35, "creeping_bent": 0.30}  # K per degree-day above zero
WET_SHIFT = {"annual_bluegrass": 6.5, "creeping_bent": 5.0}  # K, crown full of water
KILL_SPREAD = 1.0  # K
SOFT_KILL_TEMPERATURE = -7.0  # degC
SEALING_ICE = 3.0  # mm
SPECIES = ("annual_bluegrass", "creeping_bent")


class Day(NamedTuple):
    """One local day: low, mean, mean warmth above and frost below 0 [degC], rain and snowfall [mm]."""

    date: pd.Timestamp
    low: float
    mean: float
    warmth: float
    frost: float
    rain: float
    snowfall: float


@dataclass
class Ground:
    """One zone's state at the end of a day."""

    zone: Zone
    luck: float
    snow: float = 0.0  # mm of water
    density: float = 110.0  # kg m-3
    ice: float = 0.0  # mm
    pond: float = 0.0  # mm
    frost: float = 0.0  # degree-days, 0 = thawed ground
    soak: float = 0.0  # 0-1
    ice_days: float = 0.0
    soft: float = 0.0  # degree-days of warmth since hardening
    covered: bool = False
    dead: dict[str, float] = field(default_factory=lambda: dict.fromkeys(SPECIES, 0.004))
    cause: dict[str, float] = field(default_factory=lambda: {"ice": 0.0, "wet_freeze": 0.0, "cold": 0.0})

    @property
    def depth(self) -> float:
        """Snow depth [m]."""
        return self.snow / self.density


def daily_drivers(hourly: pd.DataFrame) -> pd.DataFrame:
    """Local-day sums the bookkeeping needs: low, warmth and frost [degC], rain and snow [mm]."""
    day = (hourly.index + STANDARD_TIME).normalize()
    warm, water = hourly["air_temperature"], hourly["precipitation"]
    rain = water * np.clip((warm - 0.3) / 1.2, 0, 1)
    return pd.DataFrame(
        {
            "low": warm.groupby(day).min(),
            "mean": warm.groupby(day).mean(),
            "warmth": warm.clip(lower=0).groupby(day).mean(),
            "frost": (-warm).clip(lower=0).groupby(day).mean(),
            "rain": rain.groupby(day).sum(),
            "snowfall": (water - rain).groupby(day).sum(),
        }
    )


def _snow(ground: Ground, day: Day) -> float:
    """Move the snow on by one day; returns the water [mm] that leaves it."""
    fresh = day.snowfall * ground.zone.drift
    if fresh > 0:
        ground.density = (ground.snow + fresh) / (ground.snow / ground.density + fresh / 100)
        ground.snow += fresh
    ground.density += 0.045 * ((330 if day.warmth > 0.5 else 215) - ground.density) * (ground.density < 330)
    melt = min(ground.snow, 3.6 * ground.zone.sun * day.warmth + 0.0125 * day.rain * day.warmth)
    ground.snow -= melt
    if ground.snow < 0.5:
        melt, ground.snow, ground.density = melt + ground.snow, 0.0, 110.0
    return melt + day.rain


def _water_and_ice(ground: Ground, day: Day, water: float) -> None:
    """Move frost, standing water and ice on by one day."""
    cover = np.exp(-ground.depth / 0.08)
    thaw = 0.7 * day.warmth * (ground.snow == 0)
    ground.frost = float(np.clip(ground.frost + day.frost * cover - thaw, 0, 60))
    if ground.frost < 8:
        water *= 0.1
    if ground.snow == 0:
        melted = min(ground.ice, 2.6 * ground.zone.sun * day.warmth)
        ground.ice -= melted
        water += 0.6 * melted
    storage = ground.zone.storage * (0.1 if ground.covered else 1.0)
    ground.pond = min(ground.pond + water, max(storage - ground.ice, 0.1 * storage))
    frozen = min(ground.pond, 5.0 * max(day.frost - day.warmth, 0) * (0.25 + 0.75 * cover))
    ground.pond -= frozen
    ground.ice += frozen
    if day.warmth > 0:
        ground.pond *= 0.6
    wetness = min(1.0, (ground.pond + water) / 3.0)
    if day.warmth > 0.3 and wetness > 0.1:
        gap = ground.zone.soaks * wetness - ground.soak
        ground.soak += gap * (0.6 if gap > 0 else 0.1)
    else:
        ground.soak *= 0.8 if day.warmth > 0.3 else 0.96


def _ice_days(ground: Ground, day: Day) -> None:
    """Count sealed days; air lets the count fall again."""
    if ground.ice >= SEALING_ICE:
        ground.ice_days += 1
    elif day.warmth > 0.3:
        ground.ice_days *= 0.75


def _kill(ground: Ground, day: Day) -> None:
    """Raise the dead share of each species; it never falls within a winter."""
    shelter = np.exp(-(ground.depth + (0.06 if ground.covered else 0.0)) / 0.07)
    crown = -1.5 + (min(day.low - ground.zone.colder, 0) + 1.5) * (0.15 + 0.5 * shelter)
    for name in SPECIES:
        half = HALF_DEAD_ICE_DAYS[name] * ground.luck
        by_ice = 1 / (1 + (half / max(ground.ice_days, 0.1)) ** ICE_STEEPNESS)
        kill = min(WINTER_KILL_TEMPERATURE[name] + SOFTENING[name] * ground.soft, SOFT_KILL_TEMPERATURE)
        dry = 1 / (1 + np.exp((crown - kill) / KILL_SPREAD))
        wet_kill = min(kill + WET_SHIFT[name] * ground.soak, SOFT_KILL_TEMPERATURE + 1)
        wet = 1 / (1 + np.exp((crown - wet_kill) / KILL_SPREAD))
        for cause, chance in (("ice", by_ice), ("wet_freeze", wet), ("cold", dry)):
            if chance > ground.dead[name]:
                ground.cause[cause] = max(ground.cause[cause], chance)
                ground.dead[name] = chance


def _hardening(ground: Ground, day: Day) -> None:
    """Cool autumn days harden; after New Year warmth on bare turf softens and frost mends a little."""
    if day.date.month > 6 and day.mean < 8:
        ground.soft -= 0.8
    elif day.date.month <= 6:
        ground.soft += day.warmth * (ground.depth < 0.03) - 0.3 * (day.warmth < 1)
    ground.soft = float(np.clip(ground.soft, 0, 34))


def _step(ground: Ground, day: Day) -> None:
    water = _snow(ground, day)
    if day.date.month in (11, 12, 1, 2, 3):
        _kill(ground, day)
    _water_and_ice(ground, day, water)
    _ice_days(ground, day)
    _hardening(ground, day)


def truth(hourly: pd.DataFrame, treatments: list[tuple[pd.Timestamp, str, str]], seed: int) -> pd.DataFrame:
    """Every day of every zone: snow depth [m], ice, pond [mm], soak, ice days, dead shares and causes.

    treatments: (day, zone label, "cleared" | "cover_on" | "cover_off"), applied in the morning of that day.
    """
    rng = np.random.default_rng(seed)
    luck = np.exp(0.06 * rng.standard_normal(len(ZONES)))
    days = daily_drivers(hourly)
    todo = {(day, label): what for day, label, what in treatments}
    rows = []
    for zone, own in zip(ZONES, luck, strict=True):
        ground = Ground(zone, float(own))
        for day in days.itertuples(index=True, name=None):
            day = Day(*day)
            today = day.date
            if today.month == 8 and today.day == 1:
                ground = Ground(zone, float(own), soft=34.0, covered=ground.covered)
            match todo.get((today, zone.label)):
                case "cleared":
                    ground.snow, ground.ice = 0.0, 0.0
                case "cover_on":
                    ground.covered = True
                case "cover_off":
                    ground.covered = False
            _step(ground, day)
            rows.append(_row(ground, today))
    return pd.DataFrame(rows)


def _row(ground: Ground, today: pd.Timestamp) -> dict[str, object]:
    share = bluegrass(ground.zone)
    dead = share * ground.dead["annual_bluegrass"] + (1 - share) * ground.dead["creeping_bent"]
    return {
        "day": today,
        "zone": ground.zone.label,
        "depth": ground.depth,
        "ice": ground.ice,
        "pond": ground.pond,
        "soak": ground.soak,
        "ice_days": ground.ice_days,
        "soft": ground.soft,
        **{f"dead_{name}": ground.dead[name] for name in SPECIES},
        "dead": dead,
        **{f"by_{name}": value for name, value in ground.cause.items()},
    }
