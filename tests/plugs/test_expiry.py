"""A plug speaks of its cut day: live plugs of January and February do not clear the melt that comes after."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk import hazards
from winterrisk.plugs.said import plugs_said
from winterrisk.risk import weights
from winterrisk.risk.combine import dead_share, running_doses
from winterrisk.thresholds import Thresholds

GRASSES = ["annual_bluegrass", "creeping_bent"]
COVER = {"annual_bluegrass": 0.7, "creeping_bent": 0.3}
ZONES = ["4 low", "4 ridge"]
DAYS = np.arange(np.datetime64("2024-12-01"), np.datetime64("2025-04-10"))
MELT = np.datetime64("2025-03-05")
MEMBERS = 40
DRAWS = Thresholds.defaults().draw(200, ("invented", "expiry"), "chance")
BATCHES = pd.DataFrame({"id": ["B"], "warm_from": [pd.NaT], "room": ["sill"], "temperature": [20.0]})


def harm() -> xr.Dataset:
    """Made by hand: doubtful before the melt (a dose that differs much between members), deadly from it on."""
    members = np.exp(np.linspace(-1.2, 1.2, MEMBERS))
    shape = (len(GRASSES), len(DAYS), len(ZONES), MEMBERS)
    before = np.linspace(0.0, 0.8, len(DAYS))[:, None, None] * members
    ice = np.where((DAYS >= MELT)[:, None, None], 8.0 * members, before) * np.ones((1, len(ZONES), 1))
    ice[:, 1] *= 0.5
    dims = ("species", "day", "zone", "member")
    quiet = {"cold": -60.0, "wet_freeze": -60.0, "spring_frost": -60.0}
    data = {f"dose_{h}": (dims, np.full(shape, quiet.get(h, 0.0), np.float32)) for h in hazards.HAZARDS}
    data["dose_ice"] = (dims, np.broadcast_to(ice, shape).astype(np.float32))
    parts = np.full((*shape, len(hazards.PARTS)), -60.0, np.float32)
    data["dose_wet_freeze"] = ((*dims, "part"), parts)  # type: ignore[assignment]
    return xr.Dataset(data, coords={"species": GRASSES, "day": DAYS, "zone": ZONES})


def cut(day: str, growth: float, number: int = 4, first: int = 1) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Plugs of one zone cut on a day, and two looks at each, at day 10 and day 21."""
    ids = [f"P{first + i}" for i in range(number)]
    at = np.datetime64(f"{day}T15:00:00")
    plugs = pd.DataFrame(
        {"id": ids, "zone": "4 low", "area": "4", "cut": at, "crowns": "yes", "batch": "B", "control": False}
    )
    rows = [
        {"plug": p, "time": at + np.timedelta64(d, "D"), "species": "all", "new_growth": growth}
        for p in ids
        for d in (10, 21)
    ]
    return plugs, pd.DataFrame(rows)


def mean_dead(day: np.datetime64, plugs: pd.DataFrame, looks: pd.DataFrame, zone: str = "4 low") -> float:
    share = xr.DataArray(
        [[0.7, 0.3]] * 2, dims=("zone", "species"), coords={"zone": ZONES, "species": GRASSES}
    )
    found = harm()
    weight = weights(found, DRAWS, plugs, looks, batches=BATCHES, share=share)
    p = dead_share(running_doses(found).sel(zone=zone, day=day), COVER, DRAWS)
    return float((p * weight.sel(zone=zone).to_numpy()).sum())


NONE = (cut("2025-01-10", 0.6)[0].iloc[:0], cut("2025-01-10", 0.6)[1].iloc[:0])
JANUARY, FEBRUARY = cut("2025-01-15", 0.6), cut("2025-02-12", 0.7, first=5)
FINE = tuple(pd.concat([a, b], ignore_index=True) for a, b in zip(JANUARY, FEBRUARY, strict=True))


def test_live_plugs_speak_for_their_cut_day() -> None:
    day = np.datetime64("2025-02-12")
    assert mean_dead(day, *FINE) < 0.5 * mean_dead(day, *NONE)


def test_from_the_melt_on_the_zone_does_not_stay_alive() -> None:
    """Plugs fine in January and February, the zone dead at the March melt."""
    before, after = np.datetime64("2025-03-04"), np.datetime64("2025-03-06")
    assert mean_dead(before, *FINE) < 0.25
    assert mean_dead(after, *FINE) > 0.75
    assert mean_dead(after, *FINE) > mean_dead(before, *FINE) + 0.5
    assert mean_dead(after, *FINE) == pytest.approx(mean_dead(after, *NONE), abs=0.15)


def test_plugs_cut_after_the_melt_settle_it() -> None:
    day = np.datetime64("2025-03-10")
    dead = cut("2025-03-10", 0.0, first=9)
    both = tuple(pd.concat([a, b], ignore_index=True) for a, b in zip(FINE, dead, strict=True))
    assert mean_dead(day, *both) > mean_dead(day, *FINE)
    assert mean_dead(np.datetime64("2025-02-12"), *both) < 0.25


def test_until_when_the_plugs_speak_is_their_cut_day_whatever_is_seen_later() -> None:
    said = plugs_said(*FINE, BATCHES, np.datetime64("2025-03-20"), np.datetime64("2024-08-01"))
    assert said.cut == {"4 low": np.datetime64("2025-02-12")} and said.growing == {}
