"""How much of the last hours was measured, and the list of what was filled."""

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.gaps import runs
from winterrisk.weather.variables import FILLED, MEASURED, ORIGINS, REQUIRED

HOUR = np.timedelta64(1, "h")
TOLD_APART = ("air_temperature", "precipitation")


def data_share(weather: xr.Dataset, hours: int = 72, now: np.datetime64 | None = None) -> dict[str, float]:
    """Share of measured hours [1] of temperature and of precipitation in the last hours before `now`.

    Args:
        weather (time): with origins; hours [h]: how far to look back; now: UTC, default the record's end.
    """
    times = weather["time"].to_numpy()
    end = times[-1] + HOUR if now is None else np.datetime64(now).astype("datetime64[h]")
    inside = (times >= end - hours * HOUR) & (times < end)
    shares = {}
    for name in TOLD_APART:
        origin = weather[f"{name}_origin"].to_numpy()[inside]
        shares[name] = float(np.sum((origin >= MEASURED) & (origin < FILLED)) / hours)
    return shares


def filled(weather: xr.Dataset) -> pd.DataFrame:
    """Every stretch of values that were not measured: what, from, until, hours, filled_how.

    Args:
        weather (time): as `complete` gives it.
    """
    times = weather["time"].to_numpy()
    rows = []
    for name in REQUIRED:
        origin = weather[f"{name}_origin"].to_numpy()
        for code in np.unique(origin[origin != MEASURED]):
            for first, length in runs(origin == code):
                until = times[first + length - 1] + HOUR
                rows.append((name, times[first], until, length, ORIGINS[int(code)]))
    table = pd.DataFrame(rows, columns=["what", "from", "until", "hours", "filled_how"])
    return table.sort_values(["what", "from"], ignore_index=True)
