"""The night that frost did most on, by hand: margins below the kill temperature as running maxima."""

import numpy as np
import xarray as xr

from winterrisk.risk.frost_night import frost_nights

DAYS = np.arange(np.datetime64("2025-01-01"), np.datetime64("2025-01-09"))
DRAWS = {"cold_offset": np.array([-3.0, 0.0, 3.0]), "cold_spread": np.array([1.0])}
GRASSES = ["annual_bluegrass", "creeping_bent"]


def nights(
    *margins: list[list[float]], cover: tuple[float, float] = (0.5, 0.5), weight: list[float]
) -> list[str]:
    """Date told for the fourth and the last day; margins: of bluegrass and bent, one list a member, day by day."""
    dose = np.maximum.accumulate(np.array(margins, dtype=np.float64), axis=-1)
    doses = xr.Dataset(
        {"dose_cold": (("species", "zone", "member", "day"), dose[:, None])},
        coords={"species": GRASSES, "zone": ["1 low"], "day": DAYS.astype("datetime64[ns]")},
    )
    share = xr.DataArray(
        [list(cover)], dims=("zone", "species"), coords={"zone": ["1 low"], "species": GRASSES}
    )
    weights = xr.DataArray(
        np.repeat(np.array(weight)[None, :, None], 3, axis=2) / 3.0,
        dims=("zone", "member", "draw"),
        coords={"zone": ["1 low"]},
    )
    return [str(d) for d in frost_nights(doses, share, weights, DRAWS, np.array([3, 7]))[:, 0]]


HARDY = [-30.0] * 8
EARLY = [-9.0, -1.0, 1.0, 1.0, 1.0, 1.0, 3.0, 3.0]
LATE = [-20.0, -20.0, -20.0, -8.0, -8.0, -8.0, 4.0, 4.0]


def test_the_frost_that_added_most_to_the_chance_counts_not_the_widest_margin() -> None:
    # logistic of spread 1.7 K: from -9 to -1 K 0.35 more, from -1 to 1 K 0.29, from 1 to 3 K 0.21
    assert nights([EARLY], [HARDY], weight=[1.0]) == ["2025-01-02", "2025-01-02"]
    assert nights([LATE], [HARDY], weight=[1.0]) == ["2025-01-04", "2025-01-07"]


def test_where_the_record_begins_is_no_frost() -> None:
    # the first day already counts 0.05, more than any later night adds
    slow = [-5.0, -4.9, -4.2, -4.2, -4.2, -4.2, -4.2, -4.1]
    assert nights([slow], [HARDY], weight=[1.0]) == ["2025-01-03", "2025-01-03"]


def test_members_count_by_their_weight() -> None:
    both = [EARLY, LATE]
    assert nights(both, [HARDY, HARDY], weight=[0.9, 0.1])[1] == "2025-01-02"
    assert nights(both, [HARDY, HARDY], weight=[0.1, 0.9])[1] == "2025-01-07"


def test_a_grass_that_is_not_there_tells_nothing() -> None:
    assert nights([EARLY], [LATE], cover=(0.0, 1.0), weight=[1.0])[1] == "2025-01-07"
