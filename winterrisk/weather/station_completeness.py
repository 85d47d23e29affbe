"""How much of the last winters a station has, variable by variable."""

from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.variables import FILLED, VARIABLES

WINTER: Final = (11, 4)
"""First and last month of the winter that is counted."""
LAG: Final = np.timedelta64(3, "D")
"""Days before now that are not counted: the history comes a few days late (judged)."""
ONCE_A_DAY: Final = ("snow_depth",)
"""Told once a day at many stations, and that is enough: counted by days."""


def winters_begin(now: np.datetime64, winters: int) -> np.datetime64:
    """1 November with which the last `winters` winters began, that of `now` among them."""
    year, month = int(str(now)[:4]), int(str(now)[5:7])
    last = year if month >= WINTER[0] else year - 1
    return np.datetime64(f"{last - winters + 1}-{WINTER[0]:02d}-01")


def winter_completeness(raw: xr.Dataset, now: np.datetime64, winters: int) -> pd.DataFrame:
    """Per variable: share of the winters' hours or days that were measured [1], first and last date of it.

    Args:
        raw (time): hourly or daily, with origins. now: UTC. winters: how many are counted.
    """
    daily = raw.attrs.get("step") == "daily"
    axis = pd.date_range(winters_begin(now, winters), now - LAG, freq="D" if daily else "h")
    axis = axis[(axis.month >= WINTER[0]) | (axis.month <= WINTER[1])]
    rows = []
    for name in (n for n in VARIABLES if n in raw):
        known = np.isfinite(raw[name].to_numpy()) & (raw[f"{name}_origin"].to_numpy() < FILLED)
        times = pd.DatetimeIndex(raw["time"].to_numpy())[known]
        if not len(times):
            continue
        counted, had = axis, times
        if name in ONCE_A_DAY:
            counted, had = axis.floor("D").unique(), times.floor("D").unique()
        share = float(counted.isin(had).mean()) if len(counted) else 0.0
        rows.append((name, share, str(times[0])[:10], str(times[-1])[:10]))
    return pd.DataFrame(rows, columns=["variable", "completeness", "first", "last"])
