"""Likelihood of a surveyed class against scipy's beta distribution."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import beta

from winterrisk.risk.survey import SURVEY_CLASSES, survey_log_likelihood

P = np.array([0.01, 0.1, 0.4, 0.9])
PHI = 10.0


@pytest.mark.parametrize(("low", "high"), list(pairwise(SURVEY_CLASSES)))
def test_class_chances_are_those_of_the_beta_distribution(low: float, high: float) -> None:
    exact = beta(P * PHI, (1 - P) * PHI).cdf(high) - beta(P * PHI, (1 - P) * PHI).cdf(low)
    assert np.allclose(np.exp(survey_log_likelihood(P, low, high, PHI)), np.maximum(exact, 1e-6), rtol=1e-9)


def test_the_classes_together_are_certain() -> None:
    total = sum(np.exp(survey_log_likelihood(P, low, high, PHI)) for low, high in pairwise(SURVEY_CLASSES))
    assert np.allclose(total, 1.0, atol=2e-5)


def test_an_exact_value_is_read_as_a_narrow_class() -> None:
    at = survey_log_likelihood(P, 0.4, 0.4, PHI)
    assert int(np.argmax(at)) == 2 and np.all(np.isfinite(at))
    assert int(np.argmax(survey_log_likelihood(P, 0.0, 0.0, PHI))) == 0
