"""Combining hazards and sharing out the harm afterwards."""

import numpy as np
import pytest

from winterrisk import hazards
from winterrisk.hazards.combination import TOGETHER_DAYS

PARTS = {"ice": 0.835052, "wet_freeze": 0.880797, "cold": 0.756699, "background": 0.015}


def test_combined_chance_of_the_worked_row() -> None:
    """Own arithmetic: 1 - prod(1 - p)."""
    chance = hazards.combine({name: np.array(p) for name, p in PARTS.items()})
    assert float(chance) == pytest.approx(0.995288, abs=1e-6)


def test_shares_of_the_worked_row_when_timing_tells_them_apart() -> None:
    """Own arithmetic: shares of -ln(1 - p)."""
    shares = hazards.shares({name: np.array(p) for name, p in PARTS.items()}, apart=True)
    expected = {"ice": 0.33637, "wet_freeze": 0.39699, "cold": 0.26382, "background": 0.00282}
    for name, value in expected.items():
        assert float(shares[name]) == pytest.approx(value, abs=2e-5)
    assert float(sum(shares.values())) == pytest.approx(1.0)


def test_ice_and_wet_freeze_not_told_apart_are_mixed() -> None:
    shares = hazards.shares({name: np.array(p) for name, p in PARTS.items()})
    assert float(shares["mixed"]) == pytest.approx(0.33637 + 0.39699, abs=4e-5)
    assert float(shares["ice"]) == float(shares["wet_freeze"]) == 0.0


def test_a_trace_of_wet_freeze_does_not_make_ice_mixed() -> None:
    shares = hazards.shares({"ice": np.array(0.8), "wet_freeze": np.array(0.02)})
    assert float(shares["mixed"]) == 0.0
    assert float(shares["ice"]) > 0.9


def test_swings_take_their_part_of_cold_and_wet_freeze_only() -> None:
    chances = {"cold": np.array([0.5, 0.5]), "ice": np.array([0.5, 0.5])}
    shares = hazards.shares(chances, np.array([0.0, 3.0]), apart=True)
    assert shares["swings"] == pytest.approx([0.0, 0.15])
    assert shares["ice"] == pytest.approx([0.5, 0.5])


def test_no_harm_has_no_cause() -> None:
    shares = hazards.shares(dict.fromkeys(hazards.HAZARDS, np.zeros(4)))
    assert all(np.all(s == 0.0) for s in shares.values())


def test_timing_tells_harm_a_month_apart() -> None:
    day = np.arange(100)
    ice = np.where(day >= 40, 0.6, 0.0)
    for gap, apart in ((TOGETHER_DAYS, False), (TOGETHER_DAYS + 1, True)):
        wet = np.where(day >= 40 + gap, 0.5, 0.0)
        assert bool(hazards.timing_apart(ice, wet)) is apart
