"""Rows from the future."""

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.checks.rows import ALL, Found, measured, rows
from winterrisk.weather.checks.series import DAY, HOUR, is_daily
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.local_days import midnights


def future_rows(raw: xr.Dataset, now: np.datetime64) -> pd.DataFrame:
    """Rows whose hour or local day begins after `now`: all bad, a forecast or a clock that is fast.

    Args:
        raw (time): hourly or daily; now: UTC.
    Reference: judged.
    """
    times = raw["time"].to_numpy()
    daily = is_daily(raw)
    starts = midnights(times, str(raw.attrs.get("timezone", "UTC"))) if daily and len(times) else times
    values = [raw[name].to_numpy() for name in measured(raw)]
    held = np.any([np.isfinite(v) for v in values], axis=0) if values else np.zeros(len(times), dtype=bool)
    late = np.flatnonzero((starts > np.datetime64(now)) & held)
    if not len(late):
        return rows()
    tell = Telling.of(raw)
    first, until = times[late[0]], times[-1] + (DAY if daily else HOUR)
    step = "day" if daily else "hour"
    text = f"{len(late)} {step}{'s' if len(late) > 1 else ''} from the future; left out"
    move = "check the logger's clock, station.utc_offset, and whether the file holds a forecast"
    words = tell.sentence(first, until, text, move)
    return rows([Found(ALL, first, until, float(len(late)), 0.0, "bad", "future_rows", words)])
