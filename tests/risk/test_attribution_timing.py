"""Causes told apart by timing, in each possible winter by itself.

The rule (judged): ice and wet freeze whose half-way days lie more than a fortnight apart are told apart, else "mixed".
"""

import numpy as np
import pytest
import xarray as xr

from winterrisk import hazards
from winterrisk.risk.attribution import share_by_hazard
from winterrisk.thresholds import Thresholds

DAYS, MEMBERS = 30, 2
NONE = {"cold": -60.0, "wet_freeze": -60.0, "spring_frost": -60.0}


def doses(wet_on: tuple[int, int]) -> xr.Dataset:
    """One grass and zone: much ice on day 0 in both winters, a soaked crown killed on a day of its own in each."""
    data = {}
    for name in hazards.HAZARDS:
        dims: tuple[str, ...] = ("species", "day", "zone", "member")
        value = np.full((1, DAYS, 1, MEMBERS), NONE.get(name, 0.0))
        if name == "ice":
            value[...] = 50.0
        if name == "wet_freeze":
            dims, value = (*dims, "part"), np.repeat(value[..., None], 6, axis=-1)
            for member, day in enumerate(wet_on):
                value[:, day:, :, member, 1:] = 20.0
        data[f"dose_{name}"] = (dims, value)
    coords = {"species": ["annual_bluegrass"], "day": np.arange(DAYS), "zone": ["1 low"]}
    return xr.Dataset(data, coords=coords)


@pytest.mark.parametrize(
    ("wet_on", "mixed"), [((25, 25), 0.0), ((2, 2), 1.0), ((25, 2), 0.5), ((2, 25), 0.5)]
)
def test_each_winter_has_its_own_timing(wet_on: tuple[int, int], mixed: float) -> None:
    swings = xr.Dataset({"swings": (("day", "zone", "member"), np.zeros((DAYS, 1, MEMBERS)))})
    share = xr.DataArray(
        [[1.0]], dims=("zone", "species"), coords={"zone": ["1 low"], "species": ["annual_bluegrass"]}
    )
    weights = xr.DataArray(
        np.full((1, MEMBERS, 1), 0.5), dims=("zone", "member", "draw"), coords={"zone": ["1 low"]}
    )
    central = Thresholds.defaults().draw(1, ("attribution",), "chance")
    told = share_by_hazard(doses(wet_on), swings, np.array([DAYS - 1]), share, central, weights)
    of = {str(name): float(told.isel(day=0, zone=0).sel(hazard=name).item()) for name in hazards.CAUSES}
    assert sum(of.values()) == pytest.approx(1.0, abs=1e-5)
    assert of["mixed"] == pytest.approx(mixed, abs=0.03)
