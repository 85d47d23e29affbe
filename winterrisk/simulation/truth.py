"""The hidden truth of a simulated winter: what the turf did, which is not what the model believes."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray
from scipy.stats import beta

from winterrisk import hazards
from winterrisk.column.run import run
from winterrisk.course import Course
from winterrisk.microclimate import zone_ground
from winterrisk.risk import BAND_LIMITS, PARTS
from winterrisk.risk.combine import running_doses
from winterrisk.science.keyed import KeyPart, generator
from winterrisk.thresholds import TABLE, Thresholds

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

HURT: Final = BAND_LIMITS[PARTS]
"""Dead share from which a zone is closed [1]."""
FARTHEST: Final = 1.5
"""Prior standard deviations by which the true thresholds may lie off (the study's rule)."""
BENT: Final = 0.75
"""Power of the odds in the true shape 1 - 2^-(odds^b): other tails than a logistic curve (the study's rule)."""
DRAINAGE: Final = {"good": "fair", "fair": "poor", "poor": "fair"}
"""Drainage class of the true ground by the one the course file says, in half of the zones (the study's rule)."""
STORAGE: Final = (0.6, 1.6)
"""Range of the true storage over the one the model takes [1] (the study's rule)."""


@dataclass(frozen=True)
class Plugroom:
    """How plugs really fare: chance that a dead one is read green and a live one brown [1], median day of green-up
    and spread of its logarithm, likeness of plugs of one zone."""

    dead_green: float
    live_brown: float
    median: float
    spread: float
    likeness: float


AS_BELIEVED: Final = Plugroom(0.02, 0.02, 6.0, 0.35, 0.15)
LATE_SILL: Final = Plugroom(0.05, 0.06, 8.0, 0.45, 0.30)
"""Believed and true plug room: misread oftener, a cool sill a third slower, patchier damage (the study's rule)."""


@dataclass(frozen=True)
class Truth:
    """What really happened: days (day), dead share (day, zone) [1], ice (day, zone) [mm], days under ice
    (day, zone) [d], and the plug room."""

    zones: tuple[str, ...]
    days: NDArray[np.datetime64]
    dead: Array
    ice: Array
    under_ice: Array
    room: Plugroom

    def at(self, day: np.datetime64) -> int:
        """Place of a day."""
        return int((np.datetime64(day, "D") - self.days[0]) / np.timedelta64(1, "D"))

    def hurt_since(self, zone: str, end: np.datetime64) -> np.datetime64 | None:
        """The day from which more of a zone was dead than a green is closed for; None where it never was by `end`."""
        there = np.flatnonzero(self.dead[: self.at(end) + 1, self.zones.index(zone)] > HURT)
        return self.days[there[0]] if len(there) else None


def true_thresholds(key: Key, *, mismatched: bool) -> dict[str, Array]:
    """One set of chance rows (1): a draw of the prior, or every row with a spread off by up to 1.5 of it."""
    if not mismatched:
        return Thresholds.defaults().draw(1, (*key, "truth"), "chance")
    rng = generator(*key, "true thresholds")
    values = {}
    for name, row in TABLE.items():
        if row.acts != "chance":
            continue
        off = rng.uniform(-FARTHEST, FARTHEST)
        moved = row.value
        if row.sd is not None:
            moved = float(row.from_scale(row.to_scale(row.value) + off * row.sd))
        values[name] = np.array([np.clip(moved, row.low, row.high)])
    return values


def true_winter(zone_weathers: dict[str, xr.Dataset], course: Course, key: Key, *, mismatched: bool) -> Truth:
    """The truth of one winter.

    Args:
        zone_weathers: zone -> its weather (time) of the whole winter.
    """
    rng = generator(*key, "truth")
    thresholds = true_thresholds(key, mismatched=mismatched)
    draws = Thresholds.defaults()
    column = draws.draw(1, (*key, "truth"), "column")
    traits = draws.draw(1, (*key, "truth"), "dose")
    ground = zone_ground(course)
    worked = []
    for zone, weather in zone_weathers.items():
        here = ground.sel(zone=zone).copy(deep=True)
        factor, other = rng.uniform(*STORAGE), rng.random() < 0.5
        if mismatched:
            here["depression_storage"] = here["depression_storage"] * factor
            if other:
                here["drainage"] = xr.DataArray(DRAINAGE[str(here["drainage"].item())])
        worked.append(run(weather, here, draws={**column, "path": np.zeros(1, np.int64)}, output="days"))
    zones = tuple(zone_weathers)
    days = xr.concat(
        worked, xr.DataArray(list(zones), dims="zone", name="zone"), coords="minimal", compat="override"
    )
    days = days.transpose("day", "zone", "member", ...)
    harm = hazards.run(days, course.turf().sel(zone=list(zones)), traits)
    expected = _expected(running_doses(harm), course, zones, thresholds, bent=mismatched)
    precision = float(thresholds["survey_precision"][0])
    rank = generator(*key, "true share").uniform(size=len(zones))
    inside = np.clip(expected, 1e-6, 1.0 - 1e-6)
    dead = beta.ppf(rank[None, :], inside * precision, (1.0 - inside) * precision)
    return Truth(
        zones,
        days["day"].to_numpy().astype("datetime64[D]"),
        np.maximum.accumulate(np.nan_to_num(dead), axis=0),
        days["ice_thickness_max"].to_numpy()[..., 0].astype(np.float64),
        days["days_under_ice"].to_numpy()[..., 0].astype(np.float64),
        LATE_SILL if mismatched else AS_BELIEVED,
    )


def _expected(
    doses: xr.Dataset, course: Course, zones: tuple[str, ...], thresholds: dict[str, Array], *, bent: bool
) -> Array:
    """Expected dead share (day, zone) [1] in the true shape of the chances."""
    share = course.turf()["share"].sel(zone=list(zones))
    total = np.zeros((doses.sizes["day"], len(zones)))
    one = {name: float(value[0]) for name, value in thresholds.items()}
    for species in (str(s) for s in doses["species"].to_numpy()):
        alive = np.full_like(total, 1.0 - one["background"])
        for name in hazards.HAZARDS:
            dose = doses[f"dose_{name}"].sel(species=species).isel(member=0).to_numpy()
            p = hazards.chance(name, dose, one, species)
            alive = alive * (1.0 - (bent_chance(p) if bent else p))
        total += share.sel(species=species).to_numpy()[None, :] * (1.0 - alive)
    return np.asarray(total / share.sum("species").to_numpy()[None, :])


def bent_chance(p: Array) -> Array:
    """Another curve with the same half-way point [1]: 1 - 2^-(odds^b)."""
    inside = np.clip(np.asarray(p, dtype=np.float64), 0.0, 1.0 - 1e-9)
    return np.asarray(1.0 - 2.0 ** -((inside / (1.0 - inside)) ** BENT))
