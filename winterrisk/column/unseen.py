"""What nobody can rule out for days without weather: soaked crowns frozen as hard as the season ever was."""

from dataclasses import replace

import numpy as np
import xarray as xr

from winterrisk.column.members import Members

NEGLIGIBLE = 1e-6
"""Weight of these members: they bound the range and leave the mean alone."""
SUDDEN = 3.0
"""Cooling at freezing of the unseen frost [K h-1] (judged: above the 2 K h-1 from which it costs hardiness)."""


def with_unseen(
    winter_days: xr.Dataset,
    members: Members,
    *,
    days: np.ndarray,
    coldest: float | None,
) -> tuple[xr.Dataset, Members]:
    """Winter days and members with one more gap group: the worst that the unseen days could have held.

    Copies the members whose gap was kept cold (else all) and has their crowns soaked, sealed and frozen in the
    unseen days. Not likely, and not to be ruled out by data that are not there.

    Args:
        winter_days (day, zone, member).
        days: local days without weather.
        coldest [degC]: lowest air temperature on record for the season; None where temperature was measured.
    """
    groups = members.gap_group
    kept_cold = np.flatnonzero(groups == 1) if np.any(groups == 1) else np.arange(len(groups))
    copy = winter_days.isel(member=kept_cold).copy(deep=True)
    unseen = np.isin(copy["day"].to_numpy().astype("datetime64[D]"), days.astype("datetime64[D]"))
    here = xr.DataArray(unseen, dims="day", coords={"day": copy["day"]})

    def put(name: str, value: xr.DataArray | float) -> None:
        attrs = copy[name].attrs
        copy[name] = xr.where(here, value, copy[name]).transpose(*winter_days[name].dims).astype(np.float32)
        copy[name].attrs = attrs

    put("hours_wet", 24.0)
    put("crown_water", 1.0)
    put("hours_sealed", 24.0)
    put("cooling_at_freeze", SUDDEN)
    if coldest is not None:
        for name in ("crown_temperature_min", "crown_temperature_min_6h"):
            put(name, np.minimum(copy[name], coldest))
        put("crown_temperature_mean", np.minimum(copy["crown_temperature_mean"], 0.0))
    group = int(groups.max()) + 1
    copy["gap_group"] = ("member", np.full(len(kept_cold), group))
    together = xr.concat(
        [winter_days, copy], "member", data_vars="minimal", coords="minimal", compat="override", join="exact"
    )
    order = np.concatenate([np.arange(len(groups)), kept_cold])
    return together, replace(
        members,
        column={k: v[order] for k, v in members.column.items()},
        traits={k: v[order] for k, v in members.traits.items()},
        path=members.path[order],
        weight=np.concatenate([members.weight, np.full(len(kept_cold), NEGLIGIBLE / len(kept_cold))]),
        gap_group=np.concatenate([groups, np.full(len(kept_cold), group)]),
    )
