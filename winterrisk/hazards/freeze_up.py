"""How well hardened the turf went into winter, and the notice in December when it was poor."""

import numpy as np
import xarray as xr

FROZEN_MEAN = -0.5
"""degC of the crown's daily mean below which a day is frozen (judged)."""
FROZEN_DAYS = 3
"""Frozen days in a row that make the freeze-up (judged)."""
POOR = 0.7
"""Share of the hardening usual at freeze-up below which the notice goes out (judged)."""
USUAL = {
    "annual_bluegrass": 0.50,
    "creeping_bent": 0.65,
    "velvet_bent": 0.83,
    "colonial_bent": 0.72,
    "perennial_ryegrass": 0.77,
    "kentucky_bluegrass": 0.63,
    "fine_fescue": 0.73,
    "timothy": 0.59,
    "winter_wheat": 0.84,
}
"""Hardening [1] at the end of November in the coastal autumn of the published cases (kept by a test)."""
LATEST = (12, 15)
"""Month and day taken where the ground never froze before (judged)."""


def freeze_up_day(winter_days: xr.Dataset) -> xr.DataArray:
    """First day of the freeze-up (zone, member): three frozen days in a row, at the latest 15 December."""
    frozen = winter_days["crown_temperature_mean"] < FROZEN_MEAN
    spell = frozen.rolling(day=FROZEN_DAYS).sum() >= FROZEN_DAYS
    day = winter_days["day"]
    late = (day.dt.month * 100 + day.dt.day >= LATEST[0] * 100 + LATEST[1]) & (day.dt.month >= 7)
    first = (spell | late).argmax("day")
    found = (spell | late).any("day")
    return day.isel(day=first).where(found)


def hardening_at_freeze_up(winter_days: xr.Dataset, harm: xr.Dataset) -> xr.DataArray:
    """Hardening of each grass at the freeze-up against a normal autumn [1] (species, zone, member).

    1 is usual; NaN where the freeze-up has not come yet.
    """
    at = freeze_up_day(winter_days)
    filled = at.fillna(winter_days["day"][-1])
    usual = xr.DataArray(
        [USUAL[str(s)] for s in harm["species"].to_numpy()],
        dims="species",
        coords={"species": harm["species"]},
    )
    quality = harm["hardening"].sel(day=filled, drop=True).where(at.notnull()) / usual
    quality.attrs = {"units": "1", "long_name": "hardening at freeze-up against a normal autumn"}
    return quality


def poor_hardening(winter_days: xr.Dataset, harm: xr.Dataset) -> xr.DataArray:
    """Whether most possible winters went into the freeze-up poorly hardened (species, zone) [bool].

    Where the freeze-up has not come in some member, that member says nothing.
    """
    quality = hardening_at_freeze_up(winter_days, harm)
    known = quality.notnull()
    poor = ((quality < POOR) & known).sum("member") > 0.5 * known.sum("member")
    return poor & (known.sum("member") > 0)


def notice(winter_days: xr.Dataset, harm: xr.Dataset, on: np.datetime64) -> list[tuple[str, str]]:
    """(species, zone) pairs that deserve the notice "went into winter poorly hardened", in December only.

    Args:
        winter_days, harm: of the night; days from `on` onwards, which are not weather yet, are not read.
        on: the night's date.
    """
    if int(on.astype("datetime64[M]").astype(int)) % 12 != 11:
        return []
    before = winter_days["day"] < on
    if not bool(before.any()):
        return []
    poor = poor_hardening(winter_days.sel(day=before), harm.sel(day=before))
    return [
        (str(s), str(z))
        for s in poor["species"].values
        for z in poor["zone"].values
        if bool(poor.sel(species=s, zone=z))
    ]
