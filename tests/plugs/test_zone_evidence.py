"""Plugs as evidence: the beta-binomial, batches, and the reference calibration grid."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats
from scipy.special import expit

from winterrisk.plugs import (
    Batch,
    Evidence,
    Look,
    Plug,
    evidence,
    evidence_by_zone,
    log_likelihood,
    looks_of_zone_log_likelihood,
)

NONE = -np.inf
Build = Callable[..., list[Look]]


def sure(n: int, dead: int) -> Evidence:
    """n plugs whose state is known."""
    alive = tuple([NONE] * dead + [0.0] * (n - dead))
    brown = tuple([0.0] * dead + [NONE] * (n - dead))
    return Evidence("4 low", "all", np.datetime64("2025-01-09T14:00:00"), tuple("abcdefgh"[:n]), alive, brown)


@pytest.mark.parametrize("rho", [0.05, 0.15, 0.6])
@pytest.mark.parametrize("dead", [0, 2, 5])
def test_plugs_of_known_state_are_beta_binomial(rho: float, dead: int) -> None:
    """scipy.stats.betabinom, for one given set of dead plugs."""
    p = np.array([0.05, 0.3, 0.9])
    size = (1 - rho) / rho
    wanted = stats.betabinom.logpmf(dead, 5, p * size, (1 - p) * size) - np.log(
        stats.binom(5, 0.5).pmf(dead) * 32
    )
    assert log_likelihood(p, sure(5, dead), rho) == pytest.approx(wanted, abs=1e-9)


def test_no_correlation_is_the_binomial_and_the_ends_hold() -> None:
    p = np.array([0.0, 0.2, 1.0])
    found = np.exp(log_likelihood(p, sure(4, 1), 0.0))
    assert found == pytest.approx([0.0, 0.2 * 0.8**3, 0.0], abs=1e-12)
    assert np.exp(log_likelihood(p, sure(4, 0), 0.0)) == pytest.approx([1.0, 0.8**4, 0.0], abs=1e-12)


def test_unsure_plugs_are_the_integral_over_the_dead_share() -> None:
    """Direct integration over the zone's dead share."""
    alive, dead, p, rho = np.log([0.9, 0.15, 0.4]), np.log([0.03, 0.97, 0.5]), 0.3, 0.2
    share = stats.beta(p * 4, (1 - p) * 4)
    grid = share.ppf((np.arange(200_000) + 0.5) / 200_000)
    wanted = np.prod(
        [g * grid + a * (1 - grid) for a, g in zip(np.exp(alive), np.exp(dead), strict=True)], axis=0
    )
    found = looks_of_zone_log_likelihood(p, alive, dead, rho)
    assert float(np.exp(found)) == pytest.approx(float(wanted.mean()), rel=1e-4)


def test_any_shape_of_p_with_correlation_by_draw() -> None:
    p = np.linspace(0.01, 0.9, 24).reshape(4, 6)
    rho = np.linspace(0.05, 0.5, 6)
    found = log_likelihood(p, sure(3, 1), rho)
    assert found.shape == (4, 6)
    assert found[2, 3] == pytest.approx(float(log_likelihood(p[2, 3], sure(3, 1), rho[3])))


def test_reference_calibration_grid() -> None:
    """Own reference grid: beta-binomial rho .15, four plugs at 20 to 80 days of ice: 4.0336 (.1311)."""
    theta, slope = np.meshgrid(np.linspace(3.0, 5.5, 251), np.linspace(0.2, 2.8, 131), indexing="ij")
    log = stats.norm.logpdf(theta, np.log(70), 0.35) + stats.norm.logpdf(slope, np.log(4), 0.35)
    for days, dead in zip((20, 35, 48, 55, 62, 80), (0, 0, 1, 2, 3, 4), strict=True):
        p = expit(np.exp(slope) * (np.log(days) - theta))
        log += log_likelihood(p, sure(4, dead), 0.15)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = float((weight * theta).sum())
    assert mean == pytest.approx(4.0336, abs=1e-3)
    assert float(np.sqrt((weight * (theta - mean) ** 2).sum())) == pytest.approx(0.1311, abs=1e-3)


def test_evidence_groups_by_zone_grass_and_cut_and_leaves_controls_out(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    later = np.datetime64("2025-01-20T09:00:00")
    cut = [plug("P1"), plug("P2"), plug("P3", zone="9 ridge"), plug("P4", cut=later), plug("C", control=True)]
    seen = [look for p in cut for look in looks(p.id, {14: 0.0} if p.id != "C" else {7: 0.5, 10: 0.7})]
    found = evidence(cut, seen, batch)
    assert [(e.zone, e.plugs) for e in found] == [
        ("4 low", ("P1", "P2")),
        ("9 ridge", ("P3",)),
        ("4 low", ("P4",)),
    ]
    assert set(evidence_by_zone(found)) == {"4 low", "9 ridge"}


def test_looks_after_the_night_and_plugs_a_fit_has_used_are_left_out(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Callable[[float], np.datetime64]
) -> None:
    cut, seen = [plug("P1"), plug("P2")], looks("P1", {14: 0.0}) + looks("P2", {5: 0.0})
    assert [e.plugs for e in evidence(cut, seen, batch, on=day(6))] == [("P2",)]
    assert [e.plugs for e in evidence(cut, seen, batch, used=frozenset({"P2"}))] == [("P1",)]


def test_a_dead_control_voids_its_batch_and_no_other(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    cut = [plug("P1"), plug("C", control=True), plug("P2", batch="B2")]
    seen = looks("P1", {7: 0.4}) + looks("C", {7: 0.0, 14: 0.0}) + looks("P2", {14: 0.0})
    other = Batch("B2", batch.warm_from, "sill", 20.0)
    assert [e.plugs for e in evidence(cut, seen, [batch, other])] == [("P2",)]


def test_a_green_control_makes_brown_plugs_count_for_more(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    """Reference: two green controls lift the chance of dead from .739 to .861."""
    alone = evidence([plug("P1")], looks("P1", {14: 0.0}), batch)[0]
    cut = [plug("P1"), plug("C", control=True)]
    backed = evidence(cut, looks("P1", {14: 0.0}) + looks("C", {5: 0.2, 7: 0.6}), batch)[0]
    assert alone.failure == pytest.approx(0.05)
    assert backed.failure < 0.005

    def steep(e: Evidence) -> float:
        return float(log_likelihood(0.9, e, 0.15) - log_likelihood(0.1, e, 0.15))

    assert steep(backed) > steep(alone)


def test_many_brown_plugs_without_a_control_point_at_the_room(
    plug: Callable[..., Plug], looks: Build, batch: Batch
) -> None:
    """Ten zones all brown in one batch: rather a dry tray than ten dead zones."""
    cut = [plug(f"P{i}", zone=f"{i} low") for i in range(10)]
    seen = [look for p in cut for look in looks(p.id, {14: 0.0})]
    assert min(e.failure for e in evidence(cut, seen, batch)) > 0.9


def test_more_dead_plugs_never_favour_a_lower_dead_share() -> None:
    for dead in range(4):
        less, more = (log_likelihood(np.array([0.1, 0.6]), sure(4, d), 0.15) for d in (dead, dead + 1))
        assert more[1] - more[0] > less[1] - less[0]
