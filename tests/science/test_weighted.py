"""Weighted quantiles against NumPy's own, which have the same definition (method "inverted_cdf" with weights)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from winterrisk.science.weighted import weighted_median, weighted_quantiles

AT = (0.05, 0.1, 0.37, 0.5, 0.9)


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(1, 1000)), min_size=1, max_size=40))
def test_they_are_those_of_numpy(pairs: list[tuple[int, int]]) -> None:
    values, weight = (np.array(column, dtype=float) for column in zip(*pairs, strict=True))
    told = np.quantile(values, AT, weights=weight, method="inverted_cdf")
    share = np.array([weight[values <= v].sum() for v in told]) / weight.sum()
    if np.min(np.abs(np.subtract.outer(np.cumsum(weight[np.argsort(values)]) / weight.sum(), AT))) > 1e-9:
        assert weighted_quantiles(values, weight, AT) == tuple(told)
    assert (share >= np.array(AT) - 1e-9).all()


def test_half_of_the_weight_decides_and_what_never_comes_is_last() -> None:
    assert weighted_median([3.0, 1.0, 2.0], [0.2, 0.5, 0.3]) == 1.0
    assert weighted_quantiles([np.inf, 10.0], [0.4, 0.6], (0.5, 0.9)) == (10.0, np.inf)
    assert weighted_median(np.array([4.0], dtype=np.float32), [7]) == pytest.approx(4.0)
