"""Small made-up courses whose truth is known: doses, plugs with looks, and spring surveys (all invented)."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk import hazards
from winterrisk.calibration import Winter
from winterrisk.risk.combine import dead_share
from winterrisk.risk.survey import SURVEY_CLASSES
from winterrisk.science.keyed import generator
from winterrisk.thresholds import Thresholds

SPECIES = ("annual_bluegrass", "creeping_bent")
COVER = (0.7, 0.3)
QUIET = {
    "cold": -9.0,
    "drying": 1.0,
    "snow_mould_pink": 10.0,
    "snow_mould_grey": 10.0,
    "spring_frost": -9.0,
}
"""Doses far from harm."""
ICE = "ice_multiplier.annual_bluegrass"
LOOKS = ((3, False), (7, True), (10, True), (14, True))
"""Days after the cut of the looks at a plug, and whether a live one is green; a dead one stays brown."""
Row = dict[str, object]


@dataclass(frozen=True)
class Book:
    """Tables of the book, as calibration takes them."""

    plugs: pd.DataFrame
    looks: pd.DataFrame
    batches: pd.DataFrame
    surveys: pd.DataFrame

    def fit_arguments(self) -> dict[str, pd.DataFrame]:
        return {"looks": self.looks, "batches": self.batches}


def winter(
    name: str,
    ice: Mapping[str, float],
    *,
    members: int = 6,
    spread: float = 0.05,
    days: int = 120,
    wet: Mapping[str, float] | None = None,
) -> Winter:
    """A winter in which each zone's ice dose rises evenly to a last value [1], differing between members.

    Args:
        ice: zone -> ice dose on the last day. spread: ln sd between members. wet: zone -> wet margin [K].
    """
    start = np.datetime64(f"{name[:4]}-12-01", "D")
    zones = list(ice)
    day = start + np.arange(days)
    shape = (len(SPECIES), days, len(zones), members)
    scatter = np.exp(spread * generator("invented", name).standard_normal((len(zones), members)))
    ramp = np.linspace(0.0, 1.0, days)[None, :, None, None]
    last = np.array(list(ice.values()))[None, None, :, None]
    dims = ("species", "day", "zone", "member")
    data = {f"dose_{h}": (dims, np.full(shape, value, dtype=np.float32)) for h, value in QUIET.items()}
    data["dose_ice"] = (dims, (np.ones(shape) * ramp * last * scatter).astype(np.float32))
    margins = np.full((*shape, len(hazards.PARTS)), QUIET["cold"], dtype=np.float32)
    for z, zone in enumerate(zones):
        top = (wet or {}).get(zone, QUIET["cold"])
        margins[:, days // 2 :, z, :, 1:] = np.linspace(QUIET["cold"], top, len(hazards.PARTS) - 1)
    data["dose_wet_freeze"] = ((*dims, "part"), margins)
    harm = xr.Dataset(data, coords={"species": list(SPECIES), "day": day, "zone": zones})
    share = xr.DataArray(
        np.tile(COVER, (len(zones), 1)),
        dims=("zone", "species"),
        coords={"zone": zones, "species": list(SPECIES)},
    )
    return Winter(
        name, harm, np.full(members, 1.0 / members), np.zeros(members, dtype=np.int64), xr.Dataset(), share
    )


def truth(**changes: float) -> dict[str, NDArray[np.float64]]:
    """True thresholds by key: the table's, with changes (ice= for the annual bluegrass ice multiplier)."""
    values = dict(Thresholds.defaults().values)
    values |= {ICE if name == "ice" else name: value for name, value in changes.items()}
    return {key: np.array([value]) for key, value in values.items()}


def true_share(
    past: Winter,
    zone: str,
    day: np.datetime64,
    true: Mapping[str, NDArray[np.float64]],
    member: int,
    own: float = 1.0,
) -> float:
    """Expected dead share [1] of a zone by the product's own kill formulae, in one member.

    Args:
        own: factor [1] of the zone's ice dose, for what it stands beyond the course.
    """
    doses = past.harm.sel(zone=zone).isel(member=[member])
    doses = doses.assign(dose_ice=doses["dose_ice"] * own)
    doses = doses.sel(day=slice(None, day)).max("day")
    return float(dead_share(doses, past.cover(zone), true)[0, 0])


def seen(
    winters: Sequence[Winter],
    true: Mapping[str, NDArray[np.float64]],
    key: str,
    *,
    plugs: int = 8,
    surveys: bool = True,
    at: float = 0.75,
) -> Book:
    """What people would have found: plugs cut when a share `at` of the winter had passed, and spring surveys.

    Dead shares are beta round the expectation in a member of chance; looks are without error; each zone stands a
    little more or less than the course, in all winters alike.
    """
    rng = generator("invented", key)
    plug_rows, look_rows, survey_rows = [], [], []
    spread = float(true["ice_zone_spread"][0])
    own = {
        str(zone): float(np.exp(spread * rng.standard_normal()))
        for zone in dict.fromkeys(z for past in winters for z in past.harm["zone"].to_numpy())
    }
    rho, precision = float(true["plug_correlation"][0]), float(true["survey_precision"][0])
    for past in winters:
        for zone in past.harm["zone"].to_numpy():
            member = int(rng.integers(past.harm.sizes["member"]))
            day = past.days[int(at * (len(past.days) - 1))]
            p = true_share(past, str(zone), day, true, member, own[str(zone)])
            size = (1.0 - rho) / rho
            fate = rng.beta(p * size, (1 - p) * size)
            for _ in range(plugs):
                add_plug(plug_rows, look_rows, str(zone), day, dead=bool(rng.random() < fate))
            if surveys:
                end = past.days[-1]
                p = true_share(past, str(zone), end, true, member, own[str(zone)])
                share = rng.beta(p * precision, (1 - p) * precision)
                upper = int(np.clip(np.searchsorted(SURVEY_CLASSES, share), 1, len(SURVEY_CLASSES) - 1))
                add_survey(
                    survey_rows, past.name, str(zone), end, SURVEY_CLASSES[upper - 1], SURVEY_CLASSES[upper]
                )
    return book(plug_rows, look_rows, survey_rows)


def add_plug(
    plugs: list[dict[str, object]],
    looks: list[dict[str, object]],
    zone: str,
    day: np.datetime64,
    *,
    dead: bool,
) -> None:
    """Append a plug of a zone cut on a day and four looks at it."""
    name = f"P{len(plugs) + 1}"
    cut = day + np.timedelta64(15, "h")
    plugs.append({"id": name, "zone": zone, "cut": cut, "crowns": "yes", "control": False, "batch": ""})
    for after, green in LOOKS:
        growth = 0.4 if green and not dead else 0.0
        looks.append(
            {
                "plug": name,
                "time": cut + np.timedelta64(24 * after + 16, "h"),
                "species": "all",
                "new_growth": growth,
            }
        )


def add_survey(
    surveys: list[dict[str, object]], name: str, zone: str, day: np.datetime64, low: float, high: float
) -> None:
    """Append a spring survey of a zone."""
    surveys.append(
        {
            "id": len(surveys) + 1,
            "winter": name,
            "date": day,
            "zone": zone,
            "species": "all",
            "dead_low": low,
            "dead_high": high,
        }
    )


PLUG_COLUMNS = ("id", "zone", "cut", "crowns", "control", "batch")
LOOK_COLUMNS = ("plug", "time", "species", "new_growth")
SURVEY_COLUMNS = ("id", "winter", "date", "zone", "species", "dead_low", "dead_high")


def book(plugs: Sequence[Row], looks: Sequence[Row], surveys: Sequence[Row] = ()) -> Book:
    """Tables from rows."""
    return Book(
        pd.DataFrame(list(plugs), columns=list(PLUG_COLUMNS)),
        pd.DataFrame(list(looks), columns=list(LOOK_COLUMNS)),
        pd.DataFrame(columns=["id"]),
        pd.DataFrame(list(surveys), columns=list(SURVEY_COLUMNS)),
    )
