"""The one table of variables."""

import pytest

from winterrisk.course import UNITS_OF
from winterrisk.weather import OPTIONAL, REQUIRED, VARIABLES
from winterrisk.weather.units import SCALES, in_our_unit


def test_what_must_be_there_is_the_contract():
    assert set(REQUIRED) == {
        "air_temperature",
        "dew_point",
        "wind_speed",
        "precipitation",
        "surface_pressure",
        "shortwave_down",
        "longwave_down",
    }
    assert {"snow_depth", "snow_fraction", "freezing_rain", "cloud_cover"} <= set(OPTIONAL)


@pytest.mark.parametrize("name", VARIABLES)
def test_every_variable_has_a_unit_that_files_can_give_and_limits_in_order(name):
    variable = VARIABLES[name]
    assert variable.unit in SCALES
    assert variable.low < variable.high
    assert set(variable.attrs) >= {"units", "long_name"}


@pytest.mark.parametrize("name", UNITS_OF)
def test_every_unit_a_course_file_allows_can_be_read(name):
    for unit in UNITS_OF[name]:
        assert unit in SCALES[VARIABLES[name].unit], (name, unit)


@pytest.mark.parametrize(
    ("value", "given", "ours", "expected"),
    [
        (-40.0, "degF", "degC", -40.0),
        (212.0, "degF", "degC", 100.0),
        (273.15, "K", "degC", 0.0),
        (1.0, "inch", "kg m-2", 25.4),
        (1.0, "inch", "m", 0.0254),
        (36.0, "km/h", "m s-1", 10.0),
        (1.0, "knots", "m s-1", 0.514444),
        (101.325, "kPa", "hPa", 1013.25),
        (8.64, "MJ/m2/day", "W m-2", 100.0),
        (4.0, "oktas", "1", 0.5),
        (55.0, "percent", "1", 0.55),
    ],
)
def test_units_by_their_definitions(value, given, ours, expected):
    assert in_our_unit(value, given, ours) == pytest.approx(expected, rel=1e-5)
