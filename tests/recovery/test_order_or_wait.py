"""Order now or wait: the exact small cases of an independent calculation (numpy and scipy, double precision).

Stakes of all cases: order 4000, loss 25200 unprepared and 10800 prepared; money illustrative.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from winterrisk.recovery import order_or_wait
from winterrisk.sampling import Stakes
from winterrisk.sampling.pull_day import expected_costs_by_pull_day
from winterrisk.sampling.value import chance_after_plugs, value_of_certainty, value_of_plugs

STAKES = Stakes(4000.0, 25200.0, 10800.0)
INCREMENTS = [0, 0.01, 0.02, 0.08, 0.10, 0.03, 0.01, 0, 0, 0]


def test_ordering_pays_above_the_cost_loss_ratio() -> None:
    assert STAKES.act_above == pytest.approx(0.277778, abs=1e-6)
    at = order_or_wait(0.25, STAKES)
    assert (at.never, at.order) == (pytest.approx(6300.0), pytest.approx(6700.0))
    assert order_or_wait(0.27, STAKES, settled=True).best == "never"
    assert order_or_wait(0.29, STAKES, settled=True).best == "order"


def test_certainty_and_plugs_are_worth_what_they_are_worth() -> None:
    assert value_of_certainty(0.25, STAKES) == pytest.approx(2600.0)
    assert value_of_certainty(0.40, STAKES) == pytest.approx(2400.0)
    assert value_of_plugs(0.25, 6, STAKES) == pytest.approx(2254.43, abs=0.01)
    assert value_of_plugs(0.25, 3, STAKES) == pytest.approx(1880.38, abs=0.01)
    assert value_of_plugs(0.25, 4, STAKES) == pytest.approx(1905.84, abs=0.01)
    assert chance_after_plugs(0.25, 6)[:4] == pytest.approx(
        [0.005845, 0.107252, 0.710547, 0.980453], abs=1e-6
    )


def test_waiting_for_plugs_costs_the_better_of_both_less_what_they_tell() -> None:
    at = order_or_wait(0.25, STAKES)
    assert at.plugs == pytest.approx(min(6300.0, 6700.0) - 2254.43 + 60 + 6 * 20, abs=0.01)
    assert at.best == "plugs"


def test_the_best_day_to_pull_lies_after_most_of_the_damage() -> None:
    assert 1 - np.prod(1 - np.asarray(INCREMENTS)) == pytest.approx(0.228566, abs=1e-6)
    cost = expected_costs_by_pull_day(INCREMENTS, 6, STAKES)
    assert cost[3:8] == pytest.approx([5195.85, 4545.33, 4398.28, 4375.57, 4410.27], abs=0.01)
    assert int(np.argmin(cost)) == 6


@given(st.floats(0.0, 1.0), st.integers(1, 12))
def test_plugs_never_cost_more_than_their_price_over_the_better_of_both(chance: float, number: int) -> None:
    at = order_or_wait(chance, STAKES, number=number)
    spent = STAKES.cost_of_plugs(number)
    assert at.plugs <= min(at.order, at.never) + spent + 1e-6
    assert at.plugs >= spent


def test_after_a_survey_plugs_only_add_their_price() -> None:
    at = order_or_wait(1.0, STAKES, settled=True)
    assert at.plugs == pytest.approx(min(at.order, at.never) + 180.0) and at.best == "order"
