"""Vapour, wet bulb and snow share against published and independently computed values."""

import numpy as np
import pytest

from winterrisk.science.air import (
    dew_point,
    dew_point_from_humidity,
    pressure_at_height,
    snow_fraction,
    vapour_pressure_ice,
    vapour_pressure_ice_reference,
    vapour_pressure_water,
    wet_bulb,
)


@pytest.mark.parametrize(
    ("kelvin", "pascal"),
    [
        (150, 6.106e-6), (180, 5.3975e-3), (210, 0.70202), (240, 27.272), (250, 76.024), (253.15, 103.25),
        (260, 195.82), (263.15, 259.89), (268.15, 401.76), (273.15, 611.15), (273.16, 611.657),
    ],
)  # fmt: skip
def test_vapour_pressure_over_ice_reference(kelvin: float, pascal: float) -> None:
    # Murphy and Koop (2005) eq. 7, recomputed
    assert float(vapour_pressure_ice_reference(kelvin)) == pytest.approx(pascal, rel=1e-4)


def test_magnus_over_ice_stays_near_the_reference() -> None:
    t = np.linspace(-40, 0, 41)
    assert np.allclose(vapour_pressure_ice(t) * 100, vapour_pressure_ice_reference(t + 273.15), rtol=5e-3)


@pytest.mark.parametrize(
    ("kelvin", "pascal"), [(253.15, 125.50), (263.15, 286.45), (268.15, 421.76), (273.15, 611.21)]
)
def test_magnus_over_water(kelvin: float, pascal: float) -> None:
    # Murphy and Koop (2005) eq. 10 for supercooled water; Magnus holds half a per cent
    assert float(vapour_pressure_water(kelvin - 273.15)) * 100 == pytest.approx(pascal, rel=5e-3)


def test_dew_point_turns_vapour_pressure_round() -> None:
    t = np.linspace(-40, 30, 71)
    assert np.allclose(dew_point(vapour_pressure_water(t)), t, atol=1e-9)


def test_dew_point_agrees_with_a_general_library() -> None:
    # metpy, an independent implementation (Bolton's coefficients: a tenth of a degree apart at most)
    calc = pytest.importorskip("metpy.calc", reason="metpy (extra refs) is not installed")
    units = pytest.importorskip("metpy.units").units
    t, humidity = np.array([-15.0, -5.0, 0.0, 5.0, 20.0]), np.array([0.8, 0.6, 0.9, 0.5, 0.7])
    other = calc.dewpoint_from_relative_humidity(t * units.degC, humidity * units.dimensionless)
    assert np.allclose(dew_point_from_humidity(t, humidity), other.to("degC").magnitude, atol=0.1)


@pytest.mark.parametrize(
    ("t", "humidity", "wet"),
    [
        (20, 0.50, 13.844), (0, 0.90, -0.553), (0, 0.60, -2.258), (2, 0.80, 0.778), (1.5, 0.70, -0.306),
        (-5, 0.80, -5.861),
    ],
)  # fmt: skip
def test_wet_bulb_solves_the_psychrometer_equation(t: float, humidity: float, wet: float) -> None:
    # psychrometer equation at 1013 hPa, own reference calculation
    e = humidity * vapour_pressure_water(t)
    assert float(wet_bulb(t, e, 1013.0)) == pytest.approx(wet, abs=2e-3)


def test_wet_bulb_agrees_with_a_general_library_above_freezing() -> None:
    # psychrolib (ASHRAE); below 0 degC it takes humidity over ice and is not comparable
    psychrolib = pytest.importorskip("psychrolib", reason="psychrolib (extra refs) is not installed")
    psychrolib.SetUnitSystem(psychrolib.SI)
    for t, humidity in ((5.0, 0.6), (10.0, 0.8), (20.0, 0.5)):
        other = psychrolib.GetTWetBulbFromRelHum(t, humidity, 101325)
        assert float(wet_bulb(t, humidity * vapour_pressure_water(t), 1013.25)) == pytest.approx(
            other, abs=0.1
        )


@pytest.mark.parametrize(
    ("wet", "share"), [(-1, 0.974), (0, 0.836), (0.5, 0.652), (1, 0.408), (1.5, 0.202), (2, 0.085)]
)
def test_snow_share(wet: float, share: float) -> None:
    # Wang et al. (2019), recomputed
    assert float(snow_fraction(wet)) == pytest.approx(share, abs=1e-3)


def test_small_shares_are_cut() -> None:
    assert float(snow_fraction(3.0)) == 0.0
    assert float(snow_fraction(-6.0)) == 1.0


def test_pressure_falls_with_height() -> None:
    # standard atmosphere: 898.7 hPa at 1000 m, 795.0 hPa at 2000 m
    assert np.allclose(pressure_at_height([0, 1000, 2000]), [1013.25, 898.7, 795.0], atol=0.1)
