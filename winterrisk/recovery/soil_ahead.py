"""Soil of the weeks ahead, past the end of what is replayed."""

import numpy as np
import xarray as xr

SUMMER_DAYS = 120
"""Days added after the replay's end [d] (judged: a green sown in June is told of, if at all, in October)."""
LAST_DAYS = 10


def with_summer(soil: xr.DataArray) -> xr.DataArray:
    """Soil temperature (day, ...) [degC] carried on past the end of June.

    The added days are as warm as the last ten of each spring. July is warmer: dates so found come out a few
    days late, never early.
    """
    last = soil.isel(day=slice(-LAST_DAYS, None)).mean("day")
    end = soil["day"].to_numpy()[-1].astype("datetime64[D]")
    days = (end + 1 + np.arange(SUMMER_DAYS)).astype("datetime64[ns]")
    added = last.expand_dims(day=days)
    joined = xr.concat([soil, added], "day", coords="minimal", compat="override", join="outer")
    joined.attrs = soil.attrs
    return joined.transpose("day", ...)
