"""The three thaw-then-freeze events as winter days, for tests."""

from pathlib import Path

import numpy as np
import pandas as pd
import xarray as xr

EVENTS = Path(__file__).parents[1] / "published" / "data" / "events_crown_daily.csv"
SOFT_DAYS = 5
SOFT_MEAN = 6.0


def event_days(event: int, zone: str, members: int, softened: bool = False) -> xr.Dataset:
    """Winter days of one zone of an event for each member; softened = five days at 6 degC before."""
    table = pd.read_csv(EVENTS)
    rows = table[(table["event"] == event) & (table["zone"] == zone)].sort_values("day")
    before = SOFT_DAYS if softened else 0

    def column(name: str, ahead: float) -> np.ndarray:
        return np.concatenate([np.full(before, ahead), rows[name].to_numpy(dtype=float)])

    zero = np.zeros(len(rows) + before)
    variables = {
        "crown_temperature_min": column("crown_min_c", SOFT_MEAN),
        "crown_temperature_mean": column("crown_mean_c", SOFT_MEAN),
        "crown_temperature_max": column("crown_max_c", SOFT_MEAN),
        "hours_wet": column("hours_wet", 0.0),
        "cooling_at_freeze": column("cooling_k_per_h", 0.0),
        "swings": column("swings", 0.0),
        "hours_sealed": zero,
        "air_store": zero + 0.5,
        "reaerated": zero,
        "snow_depth_mean": zero,
        "hours_snow_on_unfrozen": zero,
        "drying": zero,
        "hours_thawed_over_frozen": zero,
    }
    data = {
        name: (("day", "zone", "member"), np.repeat(values[:, None, None], members, axis=2))
        for name, values in variables.items()
    }
    return xr.Dataset(data, coords={"day": pd.date_range("2026-02-15", periods=len(zero)), "zone": [zone]})
