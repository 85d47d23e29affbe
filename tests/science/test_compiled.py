"""The column divides without asking and counts no arrays; what comes of it is never passed on when it is no number."""

import numpy as np
import pytest

from winterrisk.column.loop import run_columns
from winterrisk.science.compiled import COMPILED, UNCOUNTED, checked_numbers, njit, njit_unasked
from winterrisk.science.new_snow import new_snow_density


@njit_unasked
def _unasked(part: float, whole: float) -> float:
    return part / whole


@njit
def _asked(part: float, whole: float) -> float:
    return part / whole


@pytest.mark.skipif(not COMPILED, reason="plain Python raises by itself")
def test_only_what_is_not_asked_divides_by_zero() -> None:
    assert _unasked(1.0, 0.0) == np.inf and np.isnan(_unasked(0.0, 0.0)) and _unasked(1.0, 4.0) == 0.25
    assert _asked(1.0, 4.0) == 0.25
    with pytest.raises(ZeroDivisionError):
        _asked(1.0, 0.0)


@pytest.mark.skipif(not UNCOUNTED, reason="nothing is compiled, or numba always counts")
def test_only_what_makes_arrays_counts_them() -> None:
    """Counting who holds each view of its arrays took more than a quarter of the column's time."""
    column, density = run_columns.targetoptions, new_snow_density.targetoptions
    assert column.items() >= {"_nrt": False, "error_model": "numpy"}.items()
    assert "_nrt" not in density and density["error_model"] == "numpy"


@pytest.mark.parametrize("wrong", [np.nan, np.inf, -np.inf])
def test_what_is_no_number_is_a_fault_of_ours(wrong: float) -> None:
    checked_numbers(np.array([0.0, -1e300]), "the winter column")
    with pytest.raises(FloatingPointError, match=r"the winter column.*no number"):
        checked_numbers(np.array([[1.0, wrong]]), "the winter column")
