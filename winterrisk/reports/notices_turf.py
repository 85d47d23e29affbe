"""Notices about the turf: poor hardening in December, what to guard against in spring, what is only judged."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import xarray as xr

from winterrisk.hazards import UNPUBLISHED, spring_guard
from winterrisk.hazards.freeze_up import notice
from winterrisk.reports.words import CAUSE_WORDS, joined
from winterrisk.thresholds import LABELS

Notice = dict[str, str]

AHEAD: Final = np.timedelta64(2, "D")
"""How far ahead a spring guard looks (days 1-2 are concrete)."""
DRIED: Final = 0.5
"""Share of the drying days that kill half from which it is told [1] (judged: then about 1 in 17 dies)."""
STILL: Final = np.timedelta64(3, "D")
"""Time within which a drying day must have come for it to be told (judged)."""
LIKELY: Final = 0.5
"""Share of the possible winters from which a guard is told [1] (judged)."""


def hardening(winter_days: xr.Dataset, harm: xr.Dataset, on: np.datetime64) -> list[Notice]:
    """In December, the grasses and zones that went into winter poorly hardened."""
    zones: dict[str, list[str]] = {}
    for species, zone in notice(winter_days, harm, on):
        zones.setdefault(species, []).append(zone)
    return [
        {
            "kind": "hardening",
            "zone": "",
            "text": f"{LABELS[species]} went into winter poorly hardened at {joined(where)}: "
            "it stands less cold than usual",
        }
        for species, where in zones.items()
    ]


def guards(winter_days: xr.Dataset, harm: xr.Dataset, on: np.datetime64) -> list[Notice]:
    """Late frost on soft turf tonight or tomorrow, and thawed tops over frozen ground: keep off."""
    found = spring_guard(winter_days, harm)
    days = found["day"].to_numpy().astype("datetime64[D]")
    soon = (days >= on) & (days < on + AHEAD)
    if not soon.any():
        return []
    told = (
        ("frost_on_soft_turf", "frost on turf in growth is likely: keep off until it has thawed"),
        ("thawed_over_frozen", "thawed top over frozen ground: roots shear, keep traffic and mowers off"),
    )
    rows = []
    for name, words in told:
        there = found[name].isel(day=np.flatnonzero(soon)).any("day").mean("member")
        likely = there.max("species") if "species" in there.dims else there
        zones = [str(z) for z in likely["zone"].to_numpy() if float(likely.sel(zone=z)) >= LIKELY]
        if zones:
            rows.append({"kind": "spring_guard", "zone": "", "text": f"{joined(zones)}: {words}"})
    return rows


def drying(harm: xr.Dataset, on: np.datetime64, values: Mapping[str, float]) -> list[Notice]:
    """Zones that have dried for half the days that kill half of the turf, and still do.

    Args:
        harm: of `hazards.run`. on: the date. values: of the table of thresholds.
    """
    days = harm["day"].to_numpy().astype("datetime64[D]")
    if "dose_drying" not in harm or not {on - 1, on - 1 - STILL} <= set(days):
        return []
    dose = harm["dose_drying"].max("species").median("member").assign_coords(day=days)
    now, before = dose.sel(day=on - 1), dose.sel(day=on - 1 - STILL)
    kills = values["drying_days"]
    dried = (now >= DRIED * kills) & (now > before)
    zones = [str(zone) for zone in now["zone"].to_numpy() if bool(dried.sel(zone=zone))]
    if not zones:
        return []
    text = (
        f"{joined(zones)}: up to {float(now.max()):.0f} drying days so far, where {kills:.0f} may kill half (judged): "
        "bare, frozen and windy. Cover it or bring snow to it; water lightly in a thaw, never onto frozen ground"
    )
    return [{"kind": "drying", "zone": "", "text": text}]


def judged_only(calls: Sequence[dict[str, Any]]) -> list[Notice]:
    """Causes behind tonight's calls whose relation of dose to harm is not published."""
    named = [h for h in UNPUBLISHED if any(h in str(c["reason"]) for c in calls)]
    return (
        [
            {
                "kind": "judged",
                "zone": "",
                "text": f"{joined([CAUSE_WORDS[h] for h in named])}: how much of it kills is judged, not published",
            }
        ]
        if named
        else []
    )
