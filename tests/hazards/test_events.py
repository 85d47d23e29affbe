"""Three thaw-then-freeze events: low wet spots die, ridges less, steady cold and creeping bent hardly."""

import numpy as np
import pytest
from event_days import event_days
from turf_winters import turf, winter

from winterrisk import hazards
from winterrisk.thresholds import Thresholds

MEMBERS, DRAWS = 60, 200
HARDENED = -99.0
"""Start below every limit: both stores full, at each member's own limit."""


def chances(event: int, zone: str, species: str, softened: bool = False) -> dict[str, float]:
    """Mean chance over draws of start (+-3 degC) and thresholds, by hazard and together."""
    thresholds = Thresholds.defaults()
    drawn = thresholds.draw(MEMBERS, ("events",), "dose")
    key = f"kill_limit.{species}"
    sown = turf(species).assign_coords(zone=[zone])
    harm = hazards.run(
        event_days(event, zone, MEMBERS, softened), sown, {key: drawn[key]}, start_kill=HARDENED
    )
    draws = thresholds.draw(DRAWS, ("events",), "chance")
    by_hazard = {
        name: hazards.chance(name, harm[f"dose_{name}"].to_numpy()[0, -1, 0][:, None], draws, species)
        for name in hazards.HAZARDS
    }
    means = {name: float(np.mean(c)) for name, c in by_hazard.items()}
    return {**means, "all": float(hazards.combine(by_hazard).mean())}


@pytest.mark.parametrize(("event", "least"), [(1, 0.2), (2, 0.2), (3, 0.1)])
def test_the_wet_spot_dies_more_than_the_ridge(event: int, least: float) -> None:
    wet, ridge = chances(event, "wet", "annual_bluegrass"), chances(event, "ridge", "annual_bluegrass")
    assert wet["all"] >= least
    assert ridge["wet_freeze"] < 0.25 * wet["wet_freeze"]
    assert ridge["all"] < 0.5 * wet["all"]


@pytest.mark.parametrize("event", [1, 2, 3])
def test_steady_cold_and_creeping_bent_are_near_zero(event: int) -> None:
    assert chances(event, "steady", "annual_bluegrass")["all"] < 0.02
    assert chances(event, "wet", "creeping_bent")["all"] < 0.02


@pytest.mark.parametrize("event", [1, 2, 3])
def test_the_same_event_is_worse_after_softening(event: int) -> None:
    for zone in ("wet", "ridge"):
        hard = chances(event, zone, "annual_bluegrass")["all"]
        assert chances(event, zone, "annual_bluegrass", softened=True)["all"] > hard + 0.1


def test_an_autumn_spray_leaves_part_of_the_mould_and_nothing_else_changes() -> None:
    # job practice: greens are sprayed before lasting snow; how much it leaves is judged
    days = winter([-0.8] * 120, 0.2, snow_depth_mean=0.3)
    plain = turf("annual_bluegrass")
    sprayed = plain.assign(sprayed=("zone", np.ones(1, dtype=bool)))
    without, with_spray = hazards.run(days, plain, {}), hazards.run(days, sprayed, {})
    assert float(without["dose_snow_mould_grey"].max()) > 50
    left = float(with_spray["dose_snow_mould_grey"].max()) / float(without["dose_snow_mould_grey"].max())
    assert left == pytest.approx(0.35, rel=1e-5)
    assert np.array_equal(without["dose_cold"], with_spray["dose_cold"])
