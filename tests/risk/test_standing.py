"""Where a zone stands after its own plugs: against the conjugate beta-binomial (scipy.stats), plugs drawn one by
one, and the laws of probability."""

import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.special import gammaln
from scipy.stats import beta

from winterrisk.plugs import Evidence
from winterrisk.risk import Known, known
from winterrisk.risk.spread import BAND_LIMITS, BANDS, band_chance
from winterrisk.risk.standing import (
    CELLS,
    rank_edges,
    shares_by_rank,
    standing,
    within_zone,
)
from winterrisk.thresholds import Thresholds

sys.path.insert(0, str(Path(__file__).parents[1] / "calibration"))

from courses import add_plug, book, winter

PHI = 10.0
ALIKE = 1.0 / (1.0 + PHI)
"""Likeness of plugs that the scatter of zones alone explains: no patches within a zone."""
PARTS = BANDS.index("parts")


def plugs(dead: int, alive: int) -> Evidence:
    """Plugs read without error."""
    sure, never = 0.0, -np.inf
    return Evidence(
        "4 low", "all", np.datetime64("2025-02-20"), tuple(f"p{i}" for i in range(dead + alive)),
        (never,) * dead + (sure,) * alive, (sure,) * dead + (never,) * alive,
    )  # fmt: skip


def p_of(*values: float) -> np.ndarray:
    return np.array([values])


@pytest.mark.parametrize(("dead", "alive"), [(0, 3), (0, 6), (1, 5), (3, 3), (6, 0)])
@pytest.mark.parametrize("p", [0.05, 0.22, 0.5, 0.8])
def test_known_plugs_are_the_conjugate_case(p: float, dead: int, alive: int) -> None:
    # Beta(p phi + dead, (1 - p) phi + alive): the textbook posterior, scipy.stats.beta
    stands = standing([(p_of(p), plugs(dead, alive))], PHI, ALIKE)
    exact = beta(p * PHI + dead, (1.0 - p) * PHI + alive)
    chances = stands.chances(band_chance(p_of(p), PHI))[:, 0, 0]
    assert chances == pytest.approx(exact.sf(BAND_LIMITS), abs=0.012)
    assert stands.means(p_of(p))[0, 0] == pytest.approx(exact.mean(), abs=0.01)
    assert stands.closeness == pytest.approx(PHI + dead + alive)
    low, high = stands.quantiles(p_of(p), np.ones((1, 1)), (0.05, 0.95))
    assert (low, high) == pytest.approx(exact.ppf((0.05, 0.95)), abs=0.03)


def test_without_plugs_of_its_own_a_zone_has_every_rank_alike() -> None:
    """Looks that are as likely of a dead plug as of a live one tell nothing."""
    nothing = Evidence("4 low", "all", np.datetime64("2025-02-20"), ("p",), (-1.0,), (-1.0,))
    stands = standing([(p_of(0.1, 0.4), nothing)], PHI, 0.15)
    prior = band_chance(p_of(0.1, 0.4), PHI)
    assert stands.mass[0, 0] == pytest.approx(np.diff(rank_edges()), abs=1e-9)
    assert stands.chances(prior) == pytest.approx(prior, abs=1e-9)
    assert stands.means(p_of(0.1, 0.4))[0] == pytest.approx([0.1, 0.4], abs=2e-3)


def test_expected_over_all_answers_nothing_is_learned() -> None:
    """Law of total probability: over 0 to 5 dead of 5, each by its beta-binomial chance, the chance stays as it was."""
    p, n = 0.3, 5
    a, b, k = p * PHI, (1.0 - p) * PHI, np.arange(n + 1)
    ways = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    answer = np.exp(
        ways
        + gammaln(a + k)
        + gammaln(b + n - k)
        - gammaln(a + b + n)
        - gammaln(a)
        - gammaln(b)
        + gammaln(a + b)
    )
    after = [
        standing([(p_of(p), plugs(i, n - i))], PHI, ALIKE).chances(band_chance(p_of(p), PHI))[PARTS, 0, 0]
        for i in k
    ]
    assert (answer * after).sum() == pytest.approx(beta.sf(0.25, a, b), abs=0.005)


def test_a_rank_told_early_holds_when_more_is_expected_dead() -> None:
    """Drawn one by one: rank, share on the day of the cut, plugs; then the same rank at a later expectation."""
    early, late, rng, times = 0.2, 0.45, np.random.default_rng(11), 400_000
    rank = rng.random(times)
    dead = rng.binomial(6, beta.ppf(rank, early * PHI, (1.0 - early) * PHI))
    then = beta.ppf(rank, late * PHI, (1.0 - late) * PHI)
    for k in (0, 2, 4):
        stands = standing([(p_of(early), plugs(k, 6 - k))], PHI, ALIKE)
        seen = (then[dead == k] > 0.25).mean()
        found = stands.chances(band_chance(p_of(late), PHI))[PARTS, 0, 0]
        assert found == pytest.approx(seen, abs=0.015)
        assert stands.means(p_of(late))[0, 0] == pytest.approx(then[dead == k].mean(), abs=0.015)


def test_two_rounds_speak_of_their_own_days() -> None:
    """Alive when little was expected dead, dead when much was: the second round is not drowned by the first."""
    both = standing([(p_of(0.03), plugs(0, 5)), (p_of(0.5), plugs(5, 0))], PHI, ALIKE)
    second = standing([(p_of(0.5), plugs(5, 0))], PHI, ALIKE)
    at = band_chance(p_of(0.5), PHI)
    assert both.chances(at)[PARTS, 0, 0] == pytest.approx(second.chances(at)[PARTS, 0, 0], abs=0.03)


def test_patchy_zones_are_told_less() -> None:
    """Likeness above what the scatter of zones explains is patchiness: twelve dead plugs of one patch say less."""
    prior = band_chance(p_of(0.2), PHI)
    sure, blunt = (
        standing([(p_of(0.2), plugs(6, 0))], PHI, rho).chances(prior)[PARTS, 0, 0] for rho in (ALIKE, 0.5)
    )
    assert prior[PARTS, 0, 0] < blunt < sure
    assert within_zone(ALIKE, PHI) == 0.0 and within_zone(0.02, PHI) == 0.0
    # the two together are the likeness about the expectation: 1 - (1 - a)(1 - b)
    assert 1.0 - (1.0 - ALIKE) * (1.0 - within_zone(0.3, PHI)) == pytest.approx(0.3)


def test_more_expected_dead_is_never_a_lower_chance() -> None:
    stands = standing([(np.full((1, 60), 0.2), plugs(1, 4))], PHI, 0.15)
    p = np.linspace(0.0, 1.0, 60)[None, :]
    for chance in stands.chances(band_chance(p, PHI)):
        assert np.all(np.diff(chance[0]) >= -1e-9)
    assert np.all(np.diff(stands.means(p)[0]) >= 0.0)


def test_shares_by_rank_are_the_quantiles_of_the_beta() -> None:
    # scipy.stats.beta, between the nodes of the table too
    middle = 0.5 * (rank_edges()[1:] + rank_edges()[:-1])
    for p in (0.013, 0.2171, 0.6, 0.97):
        found = shares_by_rank(np.array(p), PHI)
        assert found.shape == (CELLS,)
        assert found == pytest.approx(beta.ppf(middle, p * PHI, (1.0 - p) * PHI), abs=0.004)


def test_plugs_the_thresholds_learned_from_still_tell_of_their_zone() -> None:
    """The thresholds hold what the plugs said of thresholds; the zone's rank is known from nowhere else."""
    past = winter("2023-24", {"1 low": 1.5, "2 ridge": 0.2})
    draws = Thresholds.defaults().draw(40, ("standing",), "chance")
    rows, looks = [], []
    for _ in range(5):
        add_plug(rows, looks, "1 low", np.datetime64("2024-02-10"), dead=True)
    tables = book(rows, looks)

    def found(used: frozenset[str]) -> Known:
        return known(
            past.harm, draws, tables.plugs, tables.looks, batches=tables.batches, share=past.share, used=used
        )

    fresh, used = found(frozenset()), found(frozenset(tables.plugs["id"]))
    assert not np.allclose(fresh.weights.sel(zone="1 low"), fresh.weights.sel(zone="1 low").mean())
    assert np.allclose(used.weights, used.weights.mean())
    assert set(used.standing) == set(fresh.standing) == {"1 low"}
    assert np.array_equal(used.standing["1 low"].mass, fresh.standing["1 low"].mass)
    assert fresh.standing["1 low"].closeness > 10.0
    # 2 ridge has no plugs of its own: the plain scatter; five dead plugs raise 1 low's chance, least where much was
    # expected dead when they were cut
    p = np.full((past.harm.sizes["member"], 40), 0.2)
    plain = band_chance(p, PHI)[PARTS]
    assert np.array_equal(fresh.harmed("2 ridge", p, PHI), plain)
    assert (fresh.harmed("1 low", p, PHI) > plain).all()
