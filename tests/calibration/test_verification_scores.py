"""Scores of chances and of members: check values computed with the library `scores` 2.7.0, and the library itself.

The twenty chances and four ensembles are those whose scores were worked out by independent reference code.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from winterrisk.calibration.ensemble_scores import crps, crps_normal, rank_counts, rank_of, spread_skill
from winterrisk.calibration.probability_scores import (
    brier_parts,
    brier_score,
    brier_skill,
    consistency_bar,
    discrimination,
    economic_value,
    isotonic_parts,
    warnings,
)

CHANCE = [0, .1, .1, .2, 0, .3, .5, .7, .9, .1, .2, .4, .6, .8, 0, .1, .3, .5, .9, .2]  # fmt: skip
HAPPENED = [0, 0, 0, 0, 0, 1, 0, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0, 1, 1, 0]
MEMBERS = np.array(
    [
        [-4.2, -3.1, -5.0, -2.7, -3.8],
        [-9.5, -11.2, -10.1, -8.7, -12.4],
        [1.2, 0.4, 2.1, -0.3, 0.9],
        [-15.0, -14.2, -16.8, -13.9, -15.5],
    ]
)
SEEN = np.array([-3.0, -13.1, 0.2, -15.2])


def test_the_twenty_chances() -> None:
    assert brier_score(CHANCE, HAPPENED) == pytest.approx(0.1155, abs=1e-6)
    parts = brier_parts(CHANCE, HAPPENED)
    assert (parts.reliability, parts.resolution, parts.uncertainty) == pytest.approx(
        (0.032167, 0.156667, 0.24), abs=1e-6
    )
    assert brier_skill(CHANCE, HAPPENED, np.mean(HAPPENED)) == pytest.approx(0.51875, abs=1e-6)
    assert brier_skill(CHANCE, HAPPENED, 0.25) == pytest.approx(0.56, abs=1e-6)
    assert discrimination(CHANCE, HAPPENED) == pytest.approx(0.927083, abs=1e-6)
    told = warnings(CHANCE, HAPPENED, 0.3)
    assert (told.hits, told.false_alarms, told.misses, told.correct_negatives) == (7, 3, 1, 9)
    rates = (told.detected, told.false_share, told.false_rate, told.critical_success)
    assert rates == pytest.approx((0.875, 0.3, 0.25, 0.63636), abs=1e-5)
    assert economic_value(CHANCE, HAPPENED, 0.2) == pytest.approx(0.583333, abs=1e-6)
    assert economic_value(CHANCE, HAPPENED, 0.5) == pytest.approx(0.625, abs=1e-6)


def test_the_bar_within_which_luck_leaves_the_share() -> None:
    assert consistency_bar(0.2, 50) == pytest.approx((0.12, 0.30))
    assert consistency_bar(0.2, 10) == pytest.approx((0.0, 0.4))
    assert consistency_bar(0.05, 200) == pytest.approx((0.025, 0.075))


def test_the_four_ensembles() -> None:
    assert crps(MEMBERS, SEEN) == pytest.approx([0.424, 1.992, 0.412, 0.312], abs=1e-9)
    assert crps(MEMBERS, SEEN, fair=True) == pytest.approx([0.31, 1.81, 0.30, 0.17], abs=1e-9)
    assert rank_of(MEMBERS, SEEN).tolist() == [5, 1, 2, 3]
    assert crps_normal([0, -4], [1, 2], [0, -7]) == pytest.approx([0.233695, 1.988848], abs=1e-6)


def test_the_library_agrees() -> None:
    scores = pytest.importorskip(
        "scores", reason="the library `scores` is not installed: pip install .[refs]"
    )
    import xarray as xr

    members = xr.DataArray(MEMBERS, dims=("case", "member"))
    seen = xr.DataArray(SEEN, dims="case")
    for method, fair in (("ecdf", False), ("fair", True)):
        theirs = scores.probability.crps_for_ensemble(
            members, seen, "member", method=method, preserve_dims=["case"]
        )
        assert crps(MEMBERS, SEEN, fair=fair) == pytest.approx(theirs.to_numpy(), abs=1e-9)
    p, o = xr.DataArray(CHANCE, dims="case"), xr.DataArray(HAPPENED, dims="case")
    assert brier_score(CHANCE, HAPPENED) == pytest.approx(
        float(scores.probability.brier_score(p, o)), abs=1e-9
    )
    curve = scores.probability.roc_curve_data(p, o, np.linspace(0, 1, 101))
    assert discrimination(CHANCE, HAPPENED) == pytest.approx(float(curve["AUC"]), abs=1e-9)
    rising = scores.probability.isotonic_fit(p, o.astype(float))["regression_func"](np.array(CHANCE))
    found, best = isotonic_parts(CHANCE, HAPPENED), np.mean((rising - HAPPENED) ** 2)
    assert found.miscalibration == pytest.approx(brier_score(CHANCE, HAPPENED) - best, abs=1e-9)
    assert found.discrimination == pytest.approx(found.uncertainty - best, abs=1e-9)
    event = scores.categorical.ThresholdEventOperator(default_event_threshold=0.3)
    counts = event.make_contingency_manager(p, o.astype(float))
    theirs = float(counts.symmetric_extremal_dependence_index())
    assert warnings(CHANCE, HAPPENED, 0.3).extremal_dependence == pytest.approx(theirs, abs=1e-9)
    value = scores.probability.brier_score(p, o)
    assert brier_parts(CHANCE, HAPPENED).score == pytest.approx(float(value), abs=1e-9)


@given(
    st.lists(st.tuples(st.integers(0, 10), st.booleans()), min_size=2, max_size=40).filter(
        lambda rows: len({o for _, o in rows}) == 2
    )
)
def test_parts_add_up_and_order_alone_decides_discrimination(rows) -> None:
    p, o = np.array([c / 10 for c, _ in rows]), np.array([int(h) for _, h in rows])
    assert brier_parts(p, o).score == pytest.approx(brier_score(p, o), abs=1e-12)
    assert discrimination(p, o) == pytest.approx(discrimination(p**2, o), abs=1e-12)
    assert discrimination(p, o) + discrimination(1 - p, o) == pytest.approx(1.0, abs=1e-12)


@given(st.lists(st.tuples(st.integers(0, 10), st.booleans()), min_size=2, max_size=40))
def test_a_rising_reading_of_the_chances_takes_only_miscalibration_away(rows) -> None:
    p, o = np.array([c / 10 for c, _ in rows]), np.array([int(h) for _, h in rows])
    parts = isotonic_parts(p, o)
    assert parts.score == pytest.approx(brier_score(p, o), abs=1e-12)
    assert parts.miscalibration >= -1e-12 and -1e-12 <= parts.discrimination <= parts.uncertainty + 1e-12
    again = isotonic_parts(p**2, o)
    assert again.discrimination == pytest.approx(parts.discrimination, abs=1e-12)


def test_members_drawn_like_what_came_have_even_ranks_and_a_fitting_spread() -> None:
    """A law: value and members from one distribution; 4 standard errors of 20,000 cases."""
    drawn = np.random.default_rng(4).standard_normal((20_000, 6))
    members, came = drawn[:, :5], drawn[:, 5]
    counts = rank_counts(members, came)
    assert counts.sum() == 20_000
    assert counts == pytest.approx(np.full(6, 20_000 / 6), abs=4 * np.sqrt(20_000 / 6))
    assert spread_skill(members, came) == pytest.approx(1.0, abs=0.02)
    assert spread_skill(0.5 * members, came) > 1.5


def test_ranks_among_ties_are_spread_by_luck() -> None:
    """A value equal to all four members stands in each of the five places as often."""
    luck = (np.arange(1000) + 0.5) / 1000
    places = rank_of(np.zeros((1000, 4)), np.zeros(1000), luck)
    assert np.bincount(places, minlength=6)[1:].tolist() == [200] * 5


@pytest.mark.parametrize(("p", "o"), [([0.5], [0.2]), ([1.2], [1]), ([0.5, 0.5], [1]), ([], [])])
def test_what_is_no_chance_or_outcome_is_refused(p, o) -> None:
    with pytest.raises(ValueError, match=r"expected|between"):
        brier_score(p, o)
