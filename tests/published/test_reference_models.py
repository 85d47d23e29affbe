"""The reference models give the worked values of their papers; ours agrees where the formula is shared."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from reference_models import SET_B, Basgra, Frostol, Wcsm

from winterrisk.hazards.hardiness import respiration
from winterrisk.hazards.ice import half_kill_days

ROUNDED = 0.0008
"""Inputs are printed to two digits; the authors' values move by up to this much (zero misses every row)."""
FROSTOL = Frostol()
WCSM = Wcsm()
BASGRA = Basgra()


def test_frostol_unhardened_value() -> None:
    assert pytest.approx(-4.01, abs=0.005) == FROSTOL.lt50i


@pytest.mark.parametrize(
    ("value", "published"),
    [
        (FROSTOL.hardening_rate(9.84, -4.01), 0.0297),
        (FROSTOL.hardening_rate(6.72, -4.04), 0.6089),
        (FROSTOL.breathing_rate(-0.16, 0.17), 0.0875),
        (FROSTOL.dehardening_rate(-0.16, -23.13, True), 0.0292),
        (FROSTOL.breathing_rate(-6.28, 0.10), 0.0098),
        (FROSTOL.snow_factor(0.10), 0.8),
        (FROSTOL.dehardening_rate(5.74, -13.41, True), 0.2346),
        (FROSTOL.dehardening_rate(10.0, -9.07, True), 0.3747),
    ],
)
def test_frostol_worked_rows(value: float, published: float) -> None:
    """Author data to Bergjord et al. 2008, LT50c -24."""
    assert value == pytest.approx(published, abs=ROUNDED)


def test_frostol_stress_is_a_loss() -> None:
    assert FROSTOL.stress_rate(-6.28, -23.74) == pytest.approx(2.9e-12, rel=0.02)


def test_frostol_hardens_at_two_degrees() -> None:
    lt50, after = FROSTOL.lt50i, {}
    for day in range(1, 43):
        lt50 = FROSTOL.day(2.0, lt50, 0.0, False)
        after[day] = lt50
    expected = {7: -12.4, 14: -17.2, 21: -20.1, 28: -21.7, 42: -23.2}
    assert {d: round(after[d], 1) for d in expected} == expected


@pytest.mark.parametrize(
    ("value", "published"),
    [
        (Wcsm(-24.0).threshold, 13.35),
        (Wcsm(-18.0).threshold, 10.94),
        (Wcsm(-12.0).threshold, 8.53),
        (Wcsm(-30.0).threshold, 15.75),
    ],
)
def test_wcsm_thresholds(value: float, published: float) -> None:
    """Fowler et al. 2014."""
    assert value == pytest.approx(published, abs=0.006)


@pytest.mark.parametrize(
    ("value", "published"),
    [
        (WCSM.hardening_rate(-2.0, -15.0), 1.934),
        (WCSM.hardening_rate(5.0, -15.0), 1.052),
        (WCSM.stress_rate(-12.0, -18.0), 4.992),
        (WCSM.dehardening_rate(0.0), 0.064),
        (WCSM.dehardening_rate(2.0), 0.112),
        (WCSM.dehardening_rate(5.0), 0.251),
        (WCSM.dehardening_rate(8.0), 0.546),
        (WCSM.dehardening_rate(10.0), 0.884),
        (WCSM.dehardening_rate(13.35), 1.775),
        (WCSM.breathing_rate(0.5), 0.54 * (2.71828182845**0.8655 - 2.0) / 1.85),
    ],
)
def test_wcsm_worked_values(value: float, published: float) -> None:
    """Byrns et al. 2020, hardy cultivar."""
    assert value == pytest.approx(published, abs=ROUNDED)


@pytest.mark.parametrize(
    ("lt50", "set_a", "set_b"),
    [(-5, 11.9, 12.4), (-10, 22.5, 23.3), (-15, 33.0, 34.1), (-20, 43.6, 45.0), (-25, 54.2, 55.9)],
)
def test_basgra_half_kill_days(lt50: float, set_a: float, set_b: float) -> None:
    assert BASGRA.half_kill_days(lt50) == pytest.approx(set_a, abs=0.06)
    assert SET_B.half_kill_days(lt50) == pytest.approx(set_b, abs=0.06)


@pytest.mark.parametrize(("surface", "loss"), [(3.0, 0.18), (5.0, 0.27), (8.0, 0.42), (10.0, 0.51)])
def test_basgra_dehardening(surface: float, loss: float) -> None:
    assert BASGRA.dehardening_rate(surface, -20.0) == pytest.approx(loss, abs=0.006)


@pytest.mark.parametrize(("surface", "after"), [(3.0, -24.4), (9.0, -21.9)])
def test_basgra_week_of_thaw(surface: float, after: float) -> None:
    lt50 = -26.0
    for _ in range(7):
        lt50 += BASGRA.dehardening_rate(surface, lt50)
    assert lt50 == pytest.approx(after, abs=0.06)


@pytest.mark.parametrize(("above", "dead"), [(1.0, 0.27), (2.0, 0.12), (3.0, 0.05)])
def test_basgra_frost_death(above: float, dead: float) -> None:
    assert BASGRA.frost_death(-10.0 + above, -10.0) == pytest.approx(dead, abs=0.006)


@pytest.mark.parametrize(
    ("days", "alive"),
    [(20, 0.99), (30, 0.93), (35, 0.83), (40, 0.65), (43, 0.50), (45, 0.39), (50, 0.18), (60, 0.025)],
)
def test_basgra_survival_without_air(days: int, alive: float) -> None:
    """Daily steps of K = 0.2 about 43.6 d; printed to a percent."""
    assert BASGRA.airless_survival(days, 43.6) == pytest.approx(alive, abs=0.006)


def test_our_formulas_shared_with_the_references() -> None:
    for crown in (-6.0, -2.5, -1.0, 0.0, 5.0):
        assert 0.54 * respiration(crown) == pytest.approx(FROSTOL.breathing_rate(crown, 1.0))
    for lt50 in (-5.0, -15.0, -25.0):
        assert half_kill_days(lt50) == pytest.approx(BASGRA.half_kill_days(lt50))
