"""Air under a woven cover on a sunny day: hot enough to soften turf long before spring."""

import numpy as np
import xarray as xr
from numpy.typing import ArrayLike, NDArray

from winterrisk.course import local_days


def air_under_cover(air: ArrayLike, sun: ArrayLike, heat: float) -> NDArray[np.float64]:
    """Air temperature under a woven cover [degC]: that outside and a rise in proportion to the sun.

    Fitted to one case (low 80s degF on a sunny day in the mid-40s degF); wind, snow on the cover and ice beneath
    make it cooler.

    Args:
        air (...) [degC]; sun (...) [W m-2]: on the zone; heat [K m2 W-1]: row `cover_air_heat`.
    """
    return np.asarray(air, dtype=np.float64) + heat * np.maximum(np.asarray(sun, dtype=np.float64), 0.0)


def warm_cover_days(
    zone_weather: xr.Dataset, days: NDArray[np.datetime64], heat: float, warm: float
) -> NDArray[np.float64]:
    """Chance of each day (day) that air under a woven cover passes `warm` [1], over the paths of the weather.

    Args:
        zone_weather (time, member): weather of the zone. days: local dates. warm [degC].
    """
    local = local_days(zone_weather["time"].to_numpy(), str(zone_weather.attrs["timezone"]))
    found = []
    for day in days.astype("datetime64[D]"):
        there = zone_weather.isel(time=np.flatnonzero(local == day))
        if not there.sizes["time"]:
            found.append(0.0)
            continue
        beneath = air_under_cover(there["air_temperature"], there["shortwave_down"], heat)
        over = (beneath >= warm).any(axis=there["air_temperature"].get_axis_num("time"))
        found.append(float(np.mean(over)))
    return np.asarray(found)
