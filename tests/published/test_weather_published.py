"""Weather against outside values: one citation and tolerance a row, and other people's code as witness."""

import csv
import importlib
import json
from pathlib import Path

import numpy as np
import pytest

from winterrisk.microclimate.sun import slope_gain
from winterrisk.science.air import dew_point_from_humidity, vapour_pressure_water, wet_bulb
from winterrisk.weather.bridge import end_weights, gap_spread
from winterrisk.weather.freezing import expected_freezing_degree_hours, freezing_degree_hours
from winterrisk.weather.longwave import longwave_down
from winterrisk.weather.sun_position import sun_at

ROWS = list(csv.DictReader((Path(__file__).parent / "data" / "weather_rows.csv").open()))


@pytest.mark.parametrize("row", ROWS, ids=[r["id"] for r in ROWS])
def test_row(row):
    module, name = row["function"].rsplit(".", 1)
    got = getattr(importlib.import_module(module), name)(*json.loads(row["arguments"]))
    assert float(np.ravel(got)[-1]) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_sun_of_the_algorithms_own_example():
    """Reda and Andreas (2004), example: zenith 50.111622, azimuth 194.340241 degrees."""
    elevation, azimuth = sun_at(
        [np.datetime64("2003-10-17T19:30:30")],
        39.742476,
        -105.1786,
        1830.14,
        pressure=820.0,
        temperature=11.0,
    )
    assert 90.0 - elevation[0] == pytest.approx(50.111622, abs=1e-4)
    assert azimuth[0] == pytest.approx(194.340241, abs=1e-4)


def test_freezing_degree_hours_of_a_gap_are_more_than_those_of_its_mean():
    """12 h, anomalies -1 and -3 at the ends about +0.5 degC, phi 0.97, sd 4: independent reference code."""
    before, after = end_weights(12, 0.97)
    mean = 0.5 - 1.0 * before - 3.0 * after
    assert freezing_degree_hours(mean) == pytest.approx(17.6675, abs=1e-4)
    assert expected_freezing_degree_hours(mean, gap_spread(12, 4.0, 0.97)) == pytest.approx(19.4892, abs=1e-4)


@pytest.mark.parametrize(("faces", "gain"), [(180.0, 1.194), (0.0, 0.799)])
def test_slope_of_five_degrees_at_noon_in_january(faces, gain):
    """45 N, 15 January, solar noon: beam times 1.194 facing south, 0.799 facing north (independent code)."""
    noon = 90.0 - 45.0 - 21.27  # declination of 15 January by FAO-56 eq. 24
    got = slope_gain(np.array([noon]), np.array([180.0]), float(np.tan(np.radians(5.0))), faces)
    assert got[0] == pytest.approx(gain, abs=0.002)


@pytest.mark.parametrize(("t", "rh"), [(-10.0, 0.8), (0.0, 0.8), (5.0, 0.6)])
def test_longwave_lies_between_its_rivals(t, rh):
    """Prata's clear sky lies within 6 W m-2 of Dilley and O'Brien's here (both published curves)."""
    from winterrisk.weather.longwave import clear_longwave_dilley98

    dew = float(dew_point_from_humidity(t, rh))
    assert float(longwave_down(t, dew, 0.0)) == pytest.approx(
        float(clear_longwave_dilley98(vapour_pressure_water(dew), t)), abs=6.1
    )


def test_dew_point_against_metpy():
    metpy = pytest.importorskip("metpy.calc", reason="metpy is not installed (extra: refs)")
    units = pytest.importorskip("metpy.units").units
    for t in (-20.0, -5.0, 0.0, 10.0, 25.0):
        for rh in (0.2, 0.6, 0.95):
            theirs = metpy.dewpoint_from_relative_humidity(t * units.degC, rh * units.dimensionless)
            # Magnus over water here, another saturation curve there: 0.3 K apart at most in this range
            assert float(dew_point_from_humidity(t, rh)) == pytest.approx(float(theirs.to("degC").m), abs=0.3)


@pytest.fixture(scope="module")
def psychrolib():
    """The library in SI units, set once: each time it is set it compiles anew."""
    library = pytest.importorskip("psychrolib", reason="psychrolib is not installed (extra: refs)")
    library.SetUnitSystem(library.SI)
    return library


@pytest.mark.parametrize(
    ("t", "rh"), [(2.0, 0.9), (5.0, 0.6), (5.0, 0.9), (10.0, 0.3), (10.0, 0.9), (20.0, 0.3), (20.0, 0.6)]
)
def test_wet_bulb_against_psychrolib(psychrolib, t, rh):
    """Wet bulbs above freezing only: below it the other library takes humidity over ice."""
    theirs = psychrolib.GetTWetBulbFromRelHum(t, rh, 101325.0)
    assert theirs > 0.0
    ours = wet_bulb(t, rh * vapour_pressure_water(t), 1013.25)
    # thermodynamic wet bulb there, ventilated psychrometer here: 0.15 K apart at most
    assert float(ours) == pytest.approx(theirs, abs=0.15)
