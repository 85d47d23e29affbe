"""Keyed numbers depend on the key and the hour alone, and are as random as they should be."""

import numpy as np
import pytest
from scipy.stats import kstest

from winterrisk.science.keyed import generator, hours_since_1970, normal_by_hour, uniform_by_hour

KEY = ("course", "2024-25", 3, "gap")


def test_the_same_hour_has_the_same_number_whatever_is_asked() -> None:
    whole = uniform_by_hour(KEY, np.arange(480_000, 480_200))
    part = uniform_by_hour(KEY, np.arange(480_050, 480_060))
    assert np.array_equal(whole[50:60], part)


def test_other_keys_have_other_numbers() -> None:
    hours = np.arange(100)
    others = [
        ("course", "2024-25", 4, "gap"),
        ("course", "2024-25", 3, "path"),
        ("course", "2024-25", "3", "gap"),
    ]
    for other in others:
        assert not np.any(uniform_by_hour(KEY, hours) == uniform_by_hour(other, hours))
    assert generator(*KEY).random() == generator(*KEY).random()


def test_numbers_are_uniform_and_independent_of_the_hour_before() -> None:
    values = uniform_by_hour(KEY, np.arange(470_000, 490_000))
    assert kstest(values, "uniform").pvalue > 0.01
    assert abs(np.corrcoef(values[1:], values[:-1])[0, 1]) < 0.03
    assert kstest(normal_by_hour(KEY, np.arange(470_000, 490_000)), "norm").pvalue > 0.01


def test_hours_must_follow_one_another() -> None:
    with pytest.raises(ValueError, match="consecutive"):
        uniform_by_hour(KEY, np.array([1, 3]))
    assert len(uniform_by_hour(KEY, np.array([], dtype=np.int64))) == 0


def test_hours_of_a_time_axis() -> None:
    assert hours_since_1970(np.array(["1970-01-02T03:00"], dtype="datetime64[us]"))[0] == 27
