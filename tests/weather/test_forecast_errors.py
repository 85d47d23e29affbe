"""Courses of forecast errors: their size, memory and keys; the correction of an ensemble's spread."""

import numpy as np
import pytest

from winterrisk.science.keyed import hours_since_1970
from winterrisk.weather.forecast_errors import (
    ERRORS,
    Size,
    error_courses,
    joined_errors,
    memory_of_course,
    normal_course,
)
from winterrisk.weather.forecast_spread import LEAST_VARIANCE, SpreadFit, spread_corrected, spread_fit

FIRST = int(hours_since_1970(np.array(["2026-01-10T04"], dtype="datetime64[h]"))[0])
FAHRENHEIT = 5.0 / 9.0


def test_low_temperatures_are_off_by_3_degf_on_day_1_and_6_on_day_7() -> None:
    # Guidance for superintendents: about 3 degF on day 1 and 6 degF on day 7.
    sizes = ERRORS.temperature.at(np.array([12.0, 156.0]))
    assert sizes.tolist() == pytest.approx([3 * FAHRENHEIT, 6 * FAHRENHEIT], abs=0.06)
    assert np.all(np.diff(ERRORS.temperature.at(np.arange(0.0, 240.0))) > 0.0)
    assert ERRORS.temperature.at(300.0) == ERRORS.temperature.at(240.0)


def test_a_course_is_standard_normal_and_remembers_some_hours() -> None:
    hours = np.arange(FIRST, FIRST + 300_000)
    course = normal_course(("invented", "test"), hours)
    assert course.mean() == pytest.approx(0.0, abs=0.05)
    assert course.std() == pytest.approx(1.0, abs=0.03)
    for after in (1, 6, 12, 24, 48):
        found = float(np.mean(course[after:] * course[:-after]))
        assert found == pytest.approx(float(memory_of_course(after)), abs=0.04), after


def test_the_same_hour_has_the_same_number_whatever_is_asked() -> None:
    long = normal_course(("invented", "test"), np.arange(FIRST, FIRST + 240))
    short = normal_course(("invented", "test"), np.arange(FIRST + 24, FIRST + 100))
    assert np.array_equal(long[24:100], short)
    assert not np.allclose(long, normal_course(("invented", "other"), np.arange(FIRST, FIRST + 240)))


def test_tonight_and_tomorrow_differ_by_the_size_at_the_lead_time_alone() -> None:
    hours, lead = np.arange(FIRST, FIRST + 168), np.arange(168.0)
    tonight = error_courses("temperature", lead, hours, ERRORS.temperature, members=4, key=("invented", 2025))
    tomorrow = error_courses(
        "temperature", lead[:144], hours[24:], ERRORS.temperature, members=4, key=("invented", 2025)
    )
    scaled = tonight[24:] / ERRORS.temperature.at(lead[24:])[:, None]
    assert scaled == pytest.approx(tomorrow / ERRORS.temperature.at(lead[:144])[:, None], abs=1e-12)
    assert np.all(np.abs(tomorrow) <= np.abs(tonight[24:]))


def test_a_known_error_at_the_join_fades_in_about_a_day() -> None:
    none = joined_errors(np.zeros((72, 1)), np.array([4.0]))[:, 0]
    assert none[0] == 4.0
    assert none[24] == pytest.approx(1.0, abs=0.1)
    assert none[48] < 0.15
    assert np.all(np.diff(none) < 0.0)
    hours = np.arange(FIRST, FIRST + 72)
    own = error_courses("temperature", np.arange(72.0), hours, Size(2.0, 2.0), members=3, key=("x",))
    joined = joined_errors(own, np.full(3, 1.0))
    assert joined[0].tolist() == pytest.approx([1.0] * 3)
    assert joined[60] == pytest.approx(own[60], abs=0.1)


MEANS = [-2.1, -5.4, -9.8, 0.6, -12.3, -7.7, -3.3, -15.1, -6.0, -1.2, -10.9, -4.5]
VARIANCES = [0.8, 1.9, 2.5, 0.5, 3.1, 1.4, 0.9, 4.2, 1.2, 0.6, 2.2, 1.0]
SEEN = [-3.4, -7.9, -10.2, 0.1, -15.8, -8.1, -5.0, -16.0, -8.3, -1.6, -13.4, -5.2]


def test_correction_of_spread_by_minimum_score() -> None:
    # Reference: independent fit with scipy, double precision, tolerance 1e-3.
    fit = spread_fit(MEANS, VARIANCES, SEEN, least=0.0, fewest=0)
    assert [fit.a, fit.b, fit.c, fit.d] == pytest.approx([-0.8030, 1.0940, 0.0, 0.7128], abs=1e-3)
    assert fit.score == pytest.approx(0.526012, abs=1e-3)


def test_few_cases_draw_the_correction_towards_none() -> None:
    whole = spread_fit(MEANS, VARIANCES, SEEN, fewest=0)
    drawn = spread_fit(MEANS, VARIANCES, SEEN)
    assert drawn.c == pytest.approx(LEAST_VARIANCE)
    assert drawn.a == pytest.approx(12 / 30 * whole.a)
    assert drawn.b - 1.0 == pytest.approx(12 / 30 * (whole.b - 1.0))


def test_corrected_members_have_the_corrected_moments_and_keep_their_order() -> None:
    members = np.array([[-4.0, -1.0, -2.0, -3.5], [0.0, 2.0, 1.0, 4.0]])
    fit = SpreadFit(a=-0.5, b=1.1, c=0.2, d=1.5)
    out = spread_corrected(members, fit)
    assert out.mean(axis=1) == pytest.approx(fit.mean(members.mean(axis=1)))
    assert out.var(axis=1, ddof=1) == pytest.approx(fit.variance(members.var(axis=1, ddof=1)))
    assert np.array_equal(np.argsort(out), np.argsort(members))
    assert np.array_equal(spread_corrected(members, SpreadFit()), members)
