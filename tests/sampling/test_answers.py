"""What plugs may answer, worked on possible winters: against a general reference library, against drawing plugs one by
one, against the exact small case of the statistics notes, and the laws of the value of information."""

import numpy as np
import pytest
from scipy.stats import beta, betabinom

from winterrisk.risk.standing import within_zone
from winterrisk.sampling.answers import (
    DAMAGED_SHARE,
    SHARES,
    Possible,
    answer_table,
    answers,
    not_green,
)
from winterrisk.sampling.value import Stakes, expected_cost, value_of_certainty

STAKES = Stakes()
PHI = 10.0


def two_states(chance: float) -> Possible:
    """Half dead or sound: the small case of the statistics notes."""
    return Possible(
        np.array([[DAMAGED_SHARE, 0.0]]), np.array([1.0, 0.0]), np.array([chance, 1.0 - chance]), 0.0, np.inf
    )


def many_states(likeness: float = 0.15) -> Possible:
    """Pairs of many dead shares; harm in the end grows with them, and may come later."""
    rng = np.random.default_rng(20260211)
    dead = rng.beta(0.7, 1.8, 400)
    harmed = np.clip(dead * 1.4 + 0.1 * rng.random(400), 0.0, 1.0)
    return Possible(dead[None, :], harmed, rng.random(400) + 0.1, within_zone(likeness, PHI), PHI)


def worth(zone: Possible, number: int) -> float:
    """Gain of deciding after the answer, plugs not paid for."""
    chance, harmed = answers(zone.pairs_of(0), zone, number)
    after = harmed / chance
    return float(expected_cost(zone.chance, STAKES) - (chance * expected_cost(after, STAKES)).sum())


@pytest.mark.parametrize(
    ("number", "expected"),
    [(1, 1190.80), (2, 1699.34), (3, 1880.38), (4, 1905.84), (6, 2254.43), (8, 2356.38), (12, 2504.32)],
)
def test_the_small_case_is_exact(number: int, expected: float) -> None:
    # own reference calculation of the statistics notes, section 5 (money illustrative)
    assert worth(two_states(0.25), number) == pytest.approx(expected, abs=0.5)


@pytest.mark.parametrize("likeness", [0.05, 0.15, 0.4])
def test_answers_of_one_share_are_beta_binomial(likeness: float) -> None:
    # scipy.stats.betabinom
    for place in (0, 20, 45, SHARES - 1):
        q = float(not_green(np.array(place / (SHARES - 1))))
        size = 1.0 / likeness - 1.0
        expected = betabinom.pmf(np.arange(6), 5, q * size, (1.0 - q) * size)
        assert answer_table(5, likeness, np.inf)[place, 0] == pytest.approx(expected, abs=1e-12)


def test_the_table_holds_for_plugs_that_share_nothing() -> None:
    # binomial: three plugs of a zone half dead
    q = float(not_green(np.array(0.5)))
    assert answer_table(3, 0.0, np.inf)[(SHARES - 1) // 2, 0] == pytest.approx(
        [(1 - q) ** 3, 3 * q * (1 - q) ** 2, 3 * q**2 * (1 - q), q**3]
    )


def test_as_plugs_drawn_one_by_one_would_answer() -> None:
    """Pair, rank, patch and plugs drawn one after the other 400,000 times: nothing here knows the tables."""
    zone, number, times = many_states(), 4, 400_000
    rng = np.random.default_rng(7)
    pair = rng.choice(zone.weight.size, times, p=zone.weight / zone.weight.sum())
    rank = rng.random(times)
    p = zone.dead[0, pair]
    q = not_green(beta.ppf(rank, p * PHI, (1.0 - p) * PHI))
    size = 1.0 / zone.likeness - 1.0
    brown = (rng.random((number, times)) < rng.beta(q * size, (1.0 - q) * size)).sum(axis=0)
    harm = rank > 1.0 - zone.harmed[pair]
    chance, harmed = answers(zone.pairs_of(0), zone, number)
    for k in range(number + 1):
        seen = (brown == k).mean()
        assert chance[k] == pytest.approx(seen, abs=4 * np.sqrt(seen / times))
        together = (harm & (brown == k)).mean()
        assert harmed[k] == pytest.approx(together, abs=4 * np.sqrt(together / times))


@pytest.mark.parametrize("number", [1, 3, 6])
def test_answers_add_up_to_what_was_known_before(number: int) -> None:
    # law of total probability
    zone = many_states()
    chance, harmed = answers(zone.pairs_of(0), zone, number)
    assert chance.sum() == pytest.approx(1.0)
    assert harmed.sum() == pytest.approx(zone.chance)


def test_an_answer_is_worth_nothing_at_least_and_certainty_at_most() -> None:
    # value of information: more plugs never less, never above perfect information
    zone = many_states()
    gains = [worth(zone, n) for n in range(1, 9)]
    assert gains[0] >= -1e-9
    assert np.all(np.diff(gains) >= -1e-9)
    assert gains[-1] <= value_of_certainty(zone.chance, STAKES) + 1e-9


def test_plugs_that_share_their_fate_tell_less() -> None:
    assert worth(many_states(0.6), 6) < worth(many_states(0.15), 6) < worth(many_states(0.01), 6)


def test_plugs_tell_what_the_expectation_cannot() -> None:
    """Every possible winter expects 0.22 dead: only the zone's own rank is unknown, and six plugs tell much of it."""
    # exact without patchiness or misreads: Beta(2.2 + k, 7.8 + 6 - k), conjugate; misreads and patches blunt it
    zone = Possible(np.full((1, 5), 0.22), np.full(5, beta.sf(0.25, 2.2, 7.8)), np.ones(5), 0.0, PHI)
    chance, harmed = answers(zone.pairs_of(0), zone, 6)
    exact = beta.sf(0.25, 2.2 + np.arange(7), 7.8 + 6 - np.arange(7))
    after = harmed / chance
    assert after[0] == pytest.approx(exact[0], abs=0.02)
    assert after[3] == pytest.approx(exact[3], abs=0.08)
    assert after[6] > 0.97
    assert np.all(np.diff(after) > 0.0)


def test_a_zone_near_the_limit_is_told_worse_than_one_half_dead_or_sound() -> None:
    """A quarter dead or a little less looks nearly the same in plugs; half dead or sound does not."""
    near = Possible(np.array([[0.30, 0.20]]), np.array([1.0, 0.0]), np.array([0.25, 0.75]), 0.0, np.inf)
    assert worth(near, 6) < 0.2 * worth(two_states(0.25), 6)


def test_harm_that_comes_after_the_cut_is_not_told() -> None:
    """The same harm in the end: plugs cut before any of it answer nothing, plugs cut after it do."""
    dead = np.array([[0.0, 0.0], [0.5, 0.0]])
    zone = Possible(dead, np.array([1.0, 0.0]), np.array([0.3, 0.7]), 0.0, np.inf)
    chance, harmed = answers(zone.pairs_of(0), zone, 6)
    assert harmed / chance == pytest.approx(np.full(7, 0.3))
    chance, harmed = answers(zone.pairs_of(1), zone, 6)
    assert harmed[0] / chance[0] < 0.02
    assert harmed[6] / chance[6] > 0.98
