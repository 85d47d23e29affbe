"""Worth of plugs against small cases worked by an own reference calculation (plain numpy, money illustrative)."""

import numpy as np
import pytest

from winterrisk.sampling.value import (
    Stakes,
    best_number,
    chance_after_plugs,
    expected_cost,
    value_of_certainty,
    value_of_plugs,
)

STAKES = Stakes()


def test_ordering_pays_above_the_cost_loss_ratio() -> None:
    # Murphy (1977): C / L with C 4000 and avoidable loss 14400
    assert STAKES.act_above == pytest.approx(0.277778, abs=1e-6)
    assert float(expected_cost(0.25, STAKES)) == pytest.approx(6300)
    assert float(expected_cost(0.40, STAKES)) == pytest.approx(8320)


@pytest.mark.parametrize(("chance", "worth"), [(0.25, 2600.0), (0.40, 2400.0)])
def test_perfect_information(chance: float, worth: float) -> None:
    assert value_of_certainty(chance, STAKES) == pytest.approx(worth)


def test_posterior_after_six_plugs() -> None:
    expected = [0.005845, 0.107252, 0.710547, 0.980453]
    assert np.allclose(chance_after_plugs(0.25, 6)[:4], expected, atol=1e-4)


@pytest.mark.parametrize(
    ("number", "worth"),
    [(1, 1190.80), (2, 1699.34), (3, 1880.38), (4, 1905.84), (6, 2254.43), (8, 2356.38), (12, 2504.32)],
)
def test_value_of_a_round_of_plugs(number: int, worth: float) -> None:
    assert value_of_plugs(0.25, number, STAKES) == pytest.approx(worth, abs=0.5)


def test_plugs_pay_at_moderate_chances_only() -> None:
    # six plugs at 180 pay for chances between .0267 and .8977
    for chance in (0.0260, 0.8990):
        assert value_of_plugs(chance, 6, STAKES) < 180
    for chance in (0.0275, 0.8960):
        assert value_of_plugs(chance, 6, STAKES) > 180


def test_plugs_are_worthless_where_the_answer_is_known() -> None:
    for chance in (0.0, 1.0):
        assert value_of_plugs(chance, 6, STAKES) == pytest.approx(0.0, abs=1e-9)
        assert best_number(chance, STAKES)[1] < 0
