"""The beta scatter of the dead share against scipy's own distribution."""

import numpy as np
import pytest
from scipy.stats import beta

from winterrisk.risk.spread import BAND_LIMITS, BANDS, band_chance, chance_at_most, mixture_quantiles

PHI = 10.0


def test_band_chances_are_those_of_the_beta_distribution() -> None:
    p = np.array([0.003, 0.01, 0.05, 0.2, 0.37, 0.5, 0.8, 0.97])
    found = band_chance(p, PHI)
    for row, limit in zip(found, BAND_LIMITS, strict=True):
        assert np.allclose(row, beta(p * PHI, (1 - p) * PHI).sf(limit), atol=5e-4)
    assert found.shape == (len(BANDS), len(p))


def test_none_and_all_dead_are_certain() -> None:
    assert np.allclose(band_chance(np.array([0.0, 1.0]), PHI), [[0, 1]] * 4, atol=1e-6)
    assert float(chance_at_most(np.array(0.0), 0.0, PHI)) == 1.0


@pytest.mark.parametrize("p", [0.02, 0.2, 0.6])
def test_quantiles_of_one_beta(p: float) -> None:
    low, high = mixture_quantiles(np.full(5, p), np.ones(5), (0.05, 0.95), PHI)
    exact = beta(p * PHI, (1 - p) * PHI)
    assert low == pytest.approx(exact.ppf(0.05), abs=4e-3)
    assert high == pytest.approx(exact.ppf(0.95), abs=4e-3)


def test_quantiles_of_a_mixture_against_sampling() -> None:
    rng = np.random.default_rng(7)
    p, weight = rng.uniform(0, 1, 300), rng.uniform(0, 1, 300)
    drawn = rng.choice(p, size=400_000, p=weight / weight.sum())
    shares = rng.beta(drawn * PHI, (1 - drawn) * PHI)
    found = mixture_quantiles(p, weight, (0.05, 0.5, 0.95), PHI)
    assert np.allclose(found, np.quantile(shares, [0.05, 0.5, 0.95]), atol=6e-3)


def test_more_expected_harm_never_lowers_a_chance() -> None:
    p = np.linspace(0, 1, 200)
    assert np.all(np.diff(band_chance(p, PHI), axis=1) >= -1e-12)
