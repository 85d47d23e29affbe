"""Hardening, softening, spring, snow and the December notice on made-up winters."""

import numpy as np
import pytest
from turf_winters import autumn_to_spring, turf, winter

from winterrisk import hazards
from winterrisk.hazards import freeze_up, hardiness
from winterrisk.hazards.swings import lasting_swings, swing_cost_after, swing_days
from winterrisk.hazards.winter import start_stores
from winterrisk.thresholds import SPECIES, TABLE


def kill(days, species: str, **traits):  # type: ignore[no-untyped-def]
    harm = hazards.run(days, turf(species), {k: np.array([v]) for k, v in traits.items()})
    return harm["kill_temperature"].isel(species=0, zone=0, member=0).to_numpy()


@pytest.mark.parametrize(("crown", "relative"), [(-2.5, 0.02), (0.0, 0.17), (10.0, 1.0)])
def test_relative_respiration(crown: float, relative: float) -> None:
    """Bergjord et al. 2008, as printed in the turf table."""
    assert hardiness.respiration(crown) == pytest.approx(relative, abs=0.006)


@pytest.mark.parametrize("species", SPECIES)
def test_start_stores_give_the_start_back(species: str) -> None:
    limit, share = TABLE[f"kill_limit.{species}"].value, TABLE[f"cool_share.{species}"].value
    for start in (-4.0, -0.5 * (4.0 - limit), limit):
        cool, frosted = start_stores(start, -4.0, limit, share)
        assert -1e-9 <= frosted <= cool + 1e-9 <= 1.0 + 2e-9
        back = hardiness.kill_temperature(-4.0, limit, share, cool, frosted, 1.0, 1.0)
        assert back == pytest.approx(start, abs=1e-9)


def test_frozen_turf_keeps_its_hardiness() -> None:
    """Tompkins et al. 1996: time spent frozen did not lower hardiness."""
    days = winter(np.full(60, -4.0), 1.0)
    harm = hazards.run(days, turf("annual_bluegrass"), {}, start_kill=-21.5)
    assert float(harm["kill_temperature"].isel(day=-1).squeeze()) == pytest.approx(-21.5, abs=0.2)


@pytest.mark.parametrize("species", [s for s in SPECIES if s not in ("timothy", "winter_wheat")])
def test_a_plain_winter_hardens_then_softens_in_spring(species: str) -> None:
    course = kill(winter(autumn_to_spring(), 3.0, "2025-08-01"), species)
    assert course[0] > -6.5
    assert course[150] < course[60] < -4.5
    assert course[-1] > -6.0


def test_spring_takes_hardiness_away_though_nights_stay_cold() -> None:
    mean = np.concatenate([np.full(30, -2.0), np.full(60, 3.0)])
    days = winter(mean, 4.0, "2026-02-01")
    with_spring = kill(days, "annual_bluegrass")
    without = kill(days, "annual_bluegrass", **{"spring_heat.annual_bluegrass": 1e9})
    assert with_spring[-1] > -6.0
    assert without[-1] < -7.0


def test_a_mild_december_is_not_spring() -> None:
    mean = np.concatenate([np.linspace(15, 3, 100), np.full(60, 3.0)])
    harm = hazards.run(winter(mean, 3.0, "2025-08-15"), turf("annual_bluegrass"), {})
    assert float(harm["spring_growth"].max()) == 0.0


def test_deep_snow_on_unfrozen_ground_costs_hardiness_and_frozen_hardly() -> None:
    def loss(mean: float, snow: float) -> float:
        harm = hazards.run(
            winter(np.full(90, mean), snow_depth_mean=snow), turf("creeping_bent"), {}, start_kill=-40.0
        )
        return float(harm["kill_temperature"].isel(day=-1).squeeze())

    assert loss(0.0, 0.4) - loss(0.0, 0.0) > 2.0
    assert loss(-5.0, 0.4) - loss(-5.0, 0.0) < 1.0


def test_a_swing_counts_once_a_freeze_lasts() -> None:
    waiting, counted = lasting_swings(0.0, 1.0, 3.0)
    assert (waiting, counted) == (1.0, 0.0)
    assert lasting_swings(waiting, 1.0, 2.0) == (1.0, 0.0)
    assert lasting_swings(waiting, 0.0, -1.0) == (0.0, 1.0)


def test_two_swings_cost_no_more_than_the_cap() -> None:
    cost = 0.0
    for _ in range(20):
        cost = swing_cost_after(cost, 1.0, 1.5, 5.0, 10.0)
    assert cost == 5.0


def test_swing_days_want_a_thaw_before_each_freeze() -> None:
    low = np.array([-2.0, 0.0, -3.0, -3.0, -0.5, -2.0])
    high = np.array([-1.0, 2.0, 0.0, 0.5, 1.5, 0.0])
    assert swing_days(low, high).tolist() == [0.0, 0.0, 1.0, 0.0, 0.0, 1.0]


def test_poor_hardening_brings_a_notice_in_december_only() -> None:
    autumn = np.interp(np.arange(120), [0, 31, 61, 92, 116, 120], [18, 14, 10, 6, 2.5, 2.0])
    good = np.concatenate([autumn, np.full(20, -3.0)])
    warm = np.concatenate([np.full(118, 14.0), np.full(22, -3.0)])
    for means, expected in ((good, []), (warm, [("annual_bluegrass", "zone 0")])):
        days = winter(means, 3.0, "2025-08-01", members=2)
        harm = hazards.run(days, turf("annual_bluegrass"), {})
        assert freeze_up.notice(days, harm, np.datetime64("2025-12-16")) == expected
        assert freeze_up.notice(days, harm, np.datetime64("2026-01-16")) == []


def test_the_notice_reads_nothing_ahead_of_its_night() -> None:
    """A freeze-up still to come in a possible winter is no freeze-up yet."""
    days = winter(np.concatenate([np.full(125, 14.0), np.full(22, -3.0)]), 3.0, "2025-08-01")
    harm = hazards.run(days, turf("annual_bluegrass"), {})
    assert freeze_up.notice(days, harm, np.datetime64("2025-12-05")) == []
    assert freeze_up.notice(days, harm, np.datetime64("2025-12-08")) == [("annual_bluegrass", "zone 0")]
    assert freeze_up.notice(days, harm, np.datetime64("2025-12-22")) == [("annual_bluegrass", "zone 0")]


def test_the_usual_hardening_is_that_of_the_coastal_autumn() -> None:
    mean = np.interp(np.arange(85), [0, 30, 61, 85], [14, 10, 6, 2.5])
    for species, usual in freeze_up.USUAL.items():
        harm = hazards.run(winter(mean, 3.5, "2025-09-01"), turf(species), {})
        assert float(harm["hardening"].isel(day=-1).squeeze()) == pytest.approx(usual, abs=0.03)
