"""Thermal time: published germination at 10 degC, and what must hold of any soil."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from winterrisk.recovery import day_reached, degree_days, first_warm_day
from winterrisk.recovery.grow_in import emergence, seeded, seeded_under_cover, sodded, waited
from winterrisk.recovery.spread_of_days import day_range, weighted_days
from winterrisk.thresholds import TABLE, Thresholds

ROWS = Thresholds.defaults().values
SOILS = arrays(np.float64, (90, 3), elements=st.floats(-5.0, 22.0))


@pytest.mark.parametrize(
    ("grass", "base", "warmth", "days"),
    [
        ("perennial_ryegrass", 3.6, 63.9, 10),
        ("fine_fescue", 2.6, 43.8, 6),
        ("kentucky_bluegrass", 2.6, 115.6, 16),
    ],
)
def test_published_grasses_germinate_at_10_degrees_in_so_many_days(
    grass: str, base: float, warmth: float, days: int
) -> None:
    """Larsen and Bibby (2005), Crop Science 45: base, thermal time to half germination, days at 10 degC from them."""
    assert (ROWS[f"germination_base.{grass}"], ROWS[f"germination_time.{grass}"]) == (base, warmth)
    assert TABLE[f"germination_time.{grass}"].status == "published"
    up = emergence(np.full((30, 1), 10.0), np.zeros(1), grass, ROWS)
    assert up[0] + 1 == days


def test_bent_is_marked_as_assumed_between_70_and_100() -> None:
    row = TABLE["germination_time.creeping_bent"]
    assert (row.low, row.high, row.status) == (70.0, 100.0, "judged")
    at_ten = [float(day_reached(np.full((40, 1), 10.0), np.zeros(1), 5.0, w)[0]) + 1 for w in (70, 100)]
    assert at_ten == [14, 20]


def test_degree_days_count_nothing_below_the_base() -> None:
    assert degree_days([4.0, 5.0, 7.5], 5.0).tolist() == [0.0, 0.0, 2.5]


def test_a_warm_day_alone_is_no_warm_soil() -> None:
    soil = np.array([2.0] * 6 + [14.0] + [2.0] * 6 + [9.0] * 8)[:, None]
    assert first_warm_day(soil, 0, 7.0)[0] == 16


def test_never_warm_is_never() -> None:
    cold = np.full((60, 2), 1.0)
    assert np.isinf(first_warm_day(cold, 0, 7.0)).all()
    assert np.isinf(seeded(cold, 0, "creeping_bent", 0.9, ROWS).play).all()
    told = day_range(np.array([np.inf, np.inf]), np.ones(2), np.datetime64("2025-03-01").astype(object))
    assert (told.p10, told.p90) == (None, None)


@settings(max_examples=60, deadline=None)
@given(SOILS, st.floats(0.0, 4.0))
def test_warmer_soil_is_never_later(soil: np.ndarray, more: float) -> None:
    for dates in (
        lambda s: emergence(s, np.zeros(3), "perennial_ryegrass", ROWS),
        lambda s: seeded(s, 0, "creeping_bent", 0.9, ROWS).work,
        lambda s: sodded(s, 0, ROWS).play,
        lambda s: waited(s, 0, 0.2, ROWS).play,
    ):
        assert (dates(soil + more) <= dates(soil)).all()


@settings(max_examples=60, deadline=None)
@given(SOILS)
def test_work_comes_before_emergence_and_emergence_before_play(soil: np.ndarray) -> None:
    for dates in (seeded(soil, 5, "creeping_bent", 0.9, ROWS), sodded(soil, 5, ROWS)):
        assert (dates.work >= 5).all() and (dates.play >= dates.work).all()
    for made in (seeded, seeded_under_cover):
        dates = made(soil, 5, "creeping_bent", 0.9, ROWS)
        sown = np.isfinite(dates.up)
        assert (dates.up[sown] >= dates.work[sown]).all() and (dates.play >= dates.up).all()


@settings(max_examples=60, deadline=None)
@given(SOILS, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_dead_turf_takes_no_less_to_fill_in(soil: np.ndarray, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert (waited(soil, 0, less, ROWS).play <= waited(soil, 0, more, ROWS).play).all()


def test_weighted_days_are_those_by_which_so_much_weight_has_come() -> None:
    assert weighted_days(np.array([30.0, 10.0, 20.0]), np.array([0.2, 0.5, 0.3])) == (10.0, 10.0, 30.0)
