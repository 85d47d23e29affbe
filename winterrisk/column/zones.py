"""Every zone of a course through the same possible winters."""

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.column.members import Members
from winterrisk.column.run import run
from winterrisk.column.state import State
from winterrisk.course import Course
from winterrisk.microclimate.zone_ground import zone_ground
from winterrisk.microclimate.zone_weather import zone_weather
from winterrisk.science.compiled import CORES


def joined_days(before: xr.Dataset, after: xr.Dataset) -> xr.Dataset:
    """Days of two runs in a row (day, ...); a day that both report is the later run's."""
    keep = int(np.searchsorted(before["day"].to_numpy(), after["day"].to_numpy()[0]))

    def both(name: str) -> tuple[tuple[str, ...], np.ndarray, dict]:
        one, two = before.variables[name], after.variables[name]
        if "day" not in one.dims:
            return one.dims, one.to_numpy(), one.attrs
        axis = one.dims.index("day")
        kept = np.take(one.to_numpy(), np.arange(keep), axis=axis)
        return one.dims, np.concatenate([kept, two.to_numpy()], axis=axis), one.attrs

    data = {name: both(str(name)) for name in before.data_vars}
    coords = {name: both(str(name)) for name in before.coords}
    return xr.Dataset(data, coords=coords, attrs=before.attrs)


def zones_days(
    weather: xr.Dataset,
    course: Course,
    events: Mapping[str, pd.DataFrame],
    members: Members,
    *,
    zones: tuple[str, ...] | None = None,
    start: Mapping[str, State] | None = None,
    until: np.datetime64 | None = None,
) -> tuple[xr.Dataset, dict[str, State]]:
    """Winter days (day, zone, member) of every zone, and each zone's state at the end.

    Args:
        weather (time, member): possible winters, one for each path.
        events: zone -> what people saw and did there; zones without any may be left out.
        zones: labels wanted; all when left out.
        start: states to branch from; without them the run begins with the weather.
        until: UTC hour at which to stop.
    """
    wanted = zones or course.zone_labels()
    ground = zone_ground(course)

    def one(label: str) -> tuple[xr.Dataset, State]:
        result: tuple[xr.Dataset, State] = run(
            zone_weather(weather, course, label),
            ground.sel(zone=label),
            events=events.get(label),
            draws={**members.column, "path": members.path},
            output="days",
            start=None if start is None else start[label],
            until=until,
            keep_state=True,
        )
        return result

    with ThreadPoolExecutor(CORES) as pool:
        worked = list(pool.map(one, wanted))
    days = [result for result, _ in worked]
    states = {label: state for label, (_, state) in zip(wanted, worked, strict=True)}
    joined = xr.concat(days, pd.Index(wanted, name="zone"), coords="minimal", compat="override", join="exact")
    joined = joined.transpose("day", "zone", "member", ...)
    joined["gap_group"] = ("member", members.gap_group)
    return joined, states
