"""Warmth, light and green-up: times a greenkeeper would recognise, and the shape of the curves."""

import numpy as np
import pytest

from winterrisk.plugs import (
    Batch,
    Plug,
    age_when_green,
    expected_green,
    green_by,
    light_factor,
    pace,
    warm_from,
)
from winterrisk.plugs.green_up import age_when_brown, turned_green
from winterrisk.thresholds import TABLE, Thresholds

VALUES = Thresholds.defaults().values


def days_to_half(species: str, **room: object) -> float:
    batch = Batch("b", **room)  # type: ignore[arg-type]
    return age_when_green(0.5, species, VALUES) / pace(batch, VALUES)


def test_under_continuous_bright_light_live_plugs_break_in_two_to_three_days() -> None:
    """Common practice, no source."""
    assert 2.0 <= days_to_half("annual_bluegrass", room="lamp", temperature=21.0, light_hours=24.0) <= 3.0


def test_on_a_sill_in_five_to_seven_days() -> None:
    """Common practice, no source."""
    assert 5.0 <= days_to_half("annual_bluegrass", room="sill", temperature=20.0) <= 7.0


def test_a_cool_sill_takes_about_twice_as_long() -> None:
    """Base 5 degC: (20 - 5) / (12 - 5)."""
    warm, cool = (days_to_half("annual_bluegrass", room="sill", temperature=t) for t in (20.0, 12.0))
    assert cool / warm == pytest.approx(15 / 7)


def test_bent_is_slower_than_annual_bluegrass_by_its_medians() -> None:
    ratio = age_when_green(0.5, "creeping_bent", VALUES) / age_when_green(0.5, "annual_bluegrass", VALUES)
    assert ratio == pytest.approx(130 / 90, rel=1e-3)
    assert (TABLE["plug_median.creeping_bent"].low, TABLE["plug_median.creeping_bent"].high) == (100, 180)


def test_light_is_one_at_the_reference_and_saturates() -> None:
    factor = light_factor([0.0, 3.0, 1e9], half_light=4.0, reference_light=3.0)
    assert factor == pytest.approx([0.0, 1.0, 7 / 3])


def test_doubt_lengthens_the_tail_and_leaves_the_median() -> None:
    """Integrating a normal log median adds its variance; checked against 200,000 draws."""
    rng = np.random.Generator(np.random.Philox(7))
    medians = 90 * np.exp(0.25 * rng.standard_normal(200_000))
    spreads = 0.4 * np.exp(0.3 * rng.standard_normal(200_000))
    drawn = medians * np.exp(spreads * rng.standard_normal(200_000))
    ages = np.array([45.0, 90.0, 180.0, 300.0])
    assert expected_green(ages, 90, 0.4, 0.25, 0.3) == pytest.approx(
        [(drawn <= a).mean() for a in ages], abs=4e-3
    )
    certain = turned_green(ages, 90, 0.4)
    doubted = green_by(ages, "annual_bluegrass", VALUES)
    assert doubted[1] == pytest.approx(certain[1], abs=1e-6)
    assert doubted[0] > certain[0] and doubted[3] < certain[3]


@pytest.mark.parametrize("family", ["lognormal", "weibull", "gamma"])
def test_age_and_chance_are_each_other_backwards(family: str) -> None:
    share = np.array([0.9, 0.5, 0.05])
    ages = age_when_brown(share, 6.0, 0.4 if family == "lognormal" else 3.0, family)  # type: ignore[arg-type]
    again = 1 - turned_green(ages, 6.0, 0.4 if family == "lognormal" else 3.0, family)  # type: ignore[arg-type]
    assert again == pytest.approx(share, abs=1e-9)


def test_the_clock_starts_in_the_warm_and_never_before_the_cut() -> None:
    cut = np.datetime64("2025-01-12T10:00:00")
    early = Batch("b", np.datetime64("2025-01-10T08:00:00"))
    assert warm_from(Plug("P", "4 low", cut), early, VALUES) == cut
    assert warm_from(Plug("P", "4 low", cut), None, VALUES) - cut == np.timedelta64(16, "h")
