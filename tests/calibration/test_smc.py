"""The sampler against references worked by integration on a grid (independent code, double precision)."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import expit
from scipy.stats import betabinom, binom

from winterrisk.calibration import sequential_monte_carlo
from winterrisk.calibration.smc import effective_number, next_temperature, systematic_picks

Array = NDArray[np.float64]

DAYS = np.array([20.0, 35.0, 48.0, 55.0, 62.0, 80.0])
DEAD = np.array([0, 0, 1, 2, 3, 4])
PLUGS = 4
PARTICLES, MOVES, RUNS = 2000, 12, 4
"""Runs are pooled; over 40 keys their means scatter 1.0 to 1.1 times as independent draws do (measured)."""


def theta(z: Array) -> Array:
    """Days that kill half: prior ln theta ~ N(ln 70, 0.35)."""
    return np.exp(np.log(70.0) + 0.35 * z[:, 0])


def steepness(z: Array) -> Array:
    """Prior ln s ~ N(ln 4, 0.35)."""
    return np.exp(np.log(4.0) + 0.35 * z[:, 1])


def kill(z: Array, days: Array) -> Array:
    """Chance of death (particle, day) by the references' log-logistic; the product's own is another."""
    return expit(steepness(z)[:, None] * (np.log(days) - np.log(theta(z))[:, None]))


def log_likelihood(z: Array, rows: int, rho: float) -> Array:
    p = np.clip(kill(z, DAYS[:rows]), 1e-12, 1 - 1e-12)
    if rho == 0:
        return binom.logpmf(DEAD[:rows], PLUGS, p).sum(axis=1)
    size = (1 - rho) / rho
    return betabinom.logpmf(DEAD[:rows], PLUGS, p * size, (1 - p) * size).sum(axis=1)


REFERENCES = {
    # rows, rho: ln theta mean, sd, theta at 5/50/95 %, kill at 40, 60, 90 days
    "binomial": (6, 0.0, 4.0225, 0.1096, (46.84, 55.57, 66.93), (0.1756, 0.5894, 0.8956)),
    "beta-binomial": (6, 0.15, 4.0336, 0.1311, (45.89, 56.09, 70.31), (0.1859, 0.5728, 0.8759)),
    "first three rows": (3, 0.0, 4.2823, 0.2363, (50.86, 70.83, 109.96), ()),
}


@pytest.mark.parametrize("name", REFERENCES)
def test_sampler_meets_the_grid_within_three_monte_carlo_errors(name: str) -> None:
    rows, rho, mean, sd, quantiles, kills = REFERENCES[name]
    runs = [
        sequential_monte_carlo(
            lambda z: log_likelihood(z, rows, rho), 2, ("test", name, run), particles=PARTICLES, moves=MOVES
        )
        for run in range(RUNS)
    ]
    z = np.concatenate([run.z for run in runs])
    root = np.sqrt(len(z))
    log_theta = np.log(theta(z))
    assert log_theta.mean() == pytest.approx(mean, abs=3 * sd / root)
    assert log_theta.std() == pytest.approx(sd, abs=3 * sd / root)
    for share, value in zip((0.05, 0.5, 0.95), quantiles, strict=True):
        # error of a sample quantile: sqrt(q (1-q) / n) over the density, that of a normal with the grid's sd
        density = np.exp(-0.5 * ((np.log(value) - mean) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
        error = np.sqrt(share * (1 - share)) / root / density
        assert np.quantile(log_theta, share) == pytest.approx(np.log(value), abs=3 * error)
    for days, value in zip((40.0, 60.0, 90.0), kills, strict=False):
        p = kill(z, np.array([days]))[:, 0]
        assert p.mean() == pytest.approx(value, abs=3 * p.std() / root)


def test_steepness_meets_the_grid() -> None:
    found = sequential_monte_carlo(
        lambda z: log_likelihood(z, 6, 0.0), 2, ("test", "s"), particles=PARTICLES, moves=MOVES
    )
    log_s = np.log(steepness(found.z))
    assert log_s.mean() == pytest.approx(1.5869, abs=3 * 0.3132 / np.sqrt(PARTICLES))
    assert log_s.std() == pytest.approx(0.3132, abs=3 * 0.3132 / np.sqrt(PARTICLES))


def test_log_evidence_is_the_chance_of_the_data_under_the_prior() -> None:
    found = sequential_monte_carlo(
        lambda z: log_likelihood(z, 6, 0.0), 2, ("test", "evidence"), particles=PARTICLES, moves=MOVES
    )
    # plain average over a fine grid of the two normal priors
    line = np.linspace(-5, 5, 401)
    z = np.stack(np.meshgrid(line, line, indexing="ij"), axis=-1).reshape(-1, 2)
    weight = np.exp(-0.5 * (z**2).sum(axis=1)) / (2 * np.pi) * (line[1] - line[0]) ** 2
    exact = np.log(np.sum(weight * np.exp(log_likelihood(z, 6, 0.0))))
    # three times its scatter over 40 keys, 0.025; the evidence itself is -5.67
    assert found.log_evidence == pytest.approx(exact, abs=0.075)


def test_without_data_the_particles_are_the_prior() -> None:
    found = sequential_monte_carlo(lambda z: np.zeros(len(z)), 3, ("test", "prior"), particles=4000, moves=4)
    assert found.log_evidence == pytest.approx(0.0, abs=1e-12)
    assert np.abs(found.z.mean(axis=0)).max() < 3 / np.sqrt(4000) * 1.5
    assert np.abs(found.z.std(axis=0) - 1).max() < 0.05


def test_the_same_key_gives_the_same_draws_and_another_does_not() -> None:
    def run(word: str) -> Array:
        return sequential_monte_carlo(lambda z: -0.5 * (z[:, 0] - 2) ** 2, 1, ("test", word), particles=200).z

    assert np.array_equal(run("a"), run("a"))
    assert not np.array_equal(run("a"), run("b"))


def test_two_separate_answers_are_both_kept() -> None:
    # likelihood with equal peaks at -2 and +2, sd 0.2: a normal approximation would keep one
    found = sequential_monte_carlo(
        lambda z: np.logaddexp(-0.5 * ((z[:, 0] - 2) / 0.2) ** 2, -0.5 * ((z[:, 0] + 2) / 0.2) ** 2),
        1,
        ("test", "two"),
        particles=2000,
    )
    assert (found.z > 0).mean() == pytest.approx(0.5, abs=0.1)
    # posterior mean of each peak: 2 / (1 + 0.2^2)
    assert np.abs(found.z).mean() == pytest.approx(2 / 1.04, abs=0.02)


def test_a_likelihood_that_is_nowhere_is_refused() -> None:
    with pytest.raises(ValueError, match="no particle"):
        sequential_monte_carlo(lambda z: np.full(len(z), -np.inf), 1, ("test", "none"), particles=50)


def test_temperature_keeps_half_the_particles_effective() -> None:
    log_like = -0.5 * np.linspace(0, 20, 500) ** 2
    step = next_temperature(log_like, 0.0)
    assert 0 < step < 1
    assert effective_number(step * log_like) == pytest.approx(250, rel=1e-3)
    assert next_temperature(np.zeros(10), 0.3) == 1.0


def test_systematic_picks_follow_the_weights() -> None:
    picks = systematic_picks(np.log(np.array([0.5, 0.25, 0.125, 0.125])), 0.5)
    assert list(np.bincount(picks, minlength=4)) in ([2, 1, 1, 0], [2, 1, 0, 1])
