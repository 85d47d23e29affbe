"""Made-up winter days for tests of the hazards."""

import numpy as np
import pandas as pd
import xarray as xr

QUIET = {
    "hours_wet": 0.0, "cooling_at_freeze": 0.0, "hours_sealed": 0.0, "sealed_by": 0.0, "air_store": 0.5,
    "reaerated": 0.0, "swings": 0.0, "snow_depth_mean": 0.0, "hours_snow_on_unfrozen": 0.0, "drying": 0.0,
    "hours_thawed_over_frozen": 0.0,
}  # fmt: skip


def winter(
    mean: list[float] | np.ndarray,
    half_range: float = 0.0,
    start: str = "2025-12-01",
    zones: int = 1,
    members: int = 1,
    **changed: float | list[float] | np.ndarray,
) -> xr.Dataset:
    """Winter days with this crown mean; other variables quiet unless given (one number or one a day)."""
    means = np.asarray(mean, dtype=float)
    values = {
        "crown_temperature_min": means - half_range,
        "crown_temperature_mean": means,
        "crown_temperature_max": means + half_range,
        **QUIET,
        **changed,
    }
    shape = (len(means), zones, members)
    data = {
        name: (
            ("day", "zone", "member"),
            np.broadcast_to(
                np.broadcast_to(np.asarray(v, dtype=float), len(means))[:, None, None], shape
            ).astype(np.float32),
        )
        for name, v in values.items()
    }
    days = xr.Dataset(
        data,
        coords={
            "day": pd.date_range(start, periods=len(means)),
            "zone": [f"zone {i}" for i in range(zones)],
        },
    )
    days["reaerated"].attrs["units"] = "h"
    return days


def turf(*species: str, zones: int = 1, hardy: bool = False) -> xr.Dataset:
    """Turf with equal shares of these grasses in every zone."""
    share = np.full((zones, len(species)), 1.0 / len(species))
    return xr.Dataset(
        {"share": (("zone", "species"), share), "hardy": ("zone", [hardy] * zones)},
        coords={"zone": [f"zone {i}" for i in range(zones)], "species": list(species)},
    )


def autumn_to_spring() -> np.ndarray:
    """Crown daily means from 1 August to mid May: a plain winter with snow."""
    return np.interp(
        np.arange(290), [0, 31, 61, 92, 116, 125, 140, 215, 225, 250, 289],
        [18, 14, 10, 6, 2.5, 0, -1.5, -1.5, 0, 8, 13],
    )  # fmt: skip
