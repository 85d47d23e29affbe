"""Winters, local days and the hour of a night, over clock changes."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from winterrisk.course import (
    day_hours,
    day_in_winter,
    day_start,
    local_days,
    night_instant,
    replay_start,
    winter_end,
    winter_of,
    winter_start,
)

CHICAGO, OSLO, HALF = "America/Chicago", "Europe/Oslo", "America/St_Johns"


@pytest.mark.parametrize(
    ("day", "winter"),
    [
        (date(2024, 7, 1), "2024-25"),
        (date(2024, 12, 31), "2024-25"),
        (date(2025, 6, 30), "2024-25"),
        (date(2025, 7, 1), "2025-26"),
        (date(1999, 11, 5), "1999-00"),
    ],
)
def test_a_winter_runs_from_july_to_june(day: date, winter: str) -> None:
    assert winter_of(day) == winter


@given(st.dates(date(1900, 1, 1), date(2190, 1, 1)))
def test_a_day_lies_in_its_winter(day: date) -> None:
    winter = winter_of(day)
    assert winter_start(winter) <= day <= winter_end(winter)
    assert replay_start(winter) == winter_start(winter) + timedelta(days=31)
    assert winter_of(winter_end(winter) + timedelta(days=1)) != winter


@pytest.mark.parametrize("name", ["2024", "2024-26", "24-25", "2024-2025", ""])
def test_what_is_no_winter_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="such as 2024-25"):
        winter_start(name)


@pytest.mark.parametrize(
    ("day", "timezone", "utc"),
    [
        (date(2025, 1, 15), CHICAGO, "2025-01-15T10:00"),  # CST = UTC-6
        (date(2025, 3, 9), CHICAGO, "2025-03-09T09:00"),  # clocks went forward at 2: CDT = UTC-5
        (date(2025, 11, 2), CHICAGO, "2025-11-02T10:00"),  # and back
        (date(2025, 3, 30), OSLO, "2025-03-30T02:00"),  # CEST = UTC+2
        (date(2025, 1, 15), HALF, "2025-01-15T07:30"),  # UTC-3:30
    ],
)
def test_a_night_is_worked_at_four_local(day: date, timezone: str, utc: str) -> None:
    assert night_instant(day, timezone) == np.datetime64(utc)


@pytest.mark.parametrize(
    ("day", "timezone", "hours"),
    [
        (date(2025, 3, 9), CHICAGO, 23),
        (date(2025, 11, 2), CHICAGO, 25),
        (date(2025, 3, 30), OSLO, 23),
        (date(2025, 10, 26), OSLO, 25),
        (date(2025, 1, 15), OSLO, 24),
    ],
)
def test_days_on_which_clocks_change_have_23_or_25_hours(day: date, timezone: str, hours: int) -> None:
    assert day_hours(day, timezone) == hours
    times = day_start(day, timezone) + np.arange(-30, 60) * np.timedelta64(1, "h")
    assert int((local_days(times, timezone) == np.datetime64(day, "D")).sum()) == hours


def test_local_days_of_hours_round_midnight() -> None:
    times = np.array(["2025-01-15T05:00", "2025-01-15T06:00", "2025-01-16T05:00"], dtype="datetime64[ns]")
    days = local_days(times, CHICAGO)
    assert days.dtype == np.dtype("datetime64[D]")
    assert days.astype(str).tolist() == ["2025-01-14", "2025-01-15", "2025-01-15"]


@given(st.integers(0, 24 * 700), st.sampled_from([CHICAGO, OSLO, HALF]))
def test_a_local_day_holds_the_hours_between_its_midnights(hour: int, timezone: str) -> None:
    time = np.datetime64("2024-01-03T00:00") + np.timedelta64(hour, "h")
    day = local_days([time], timezone)[0].astype(date)
    assert day_start(day, timezone) <= time < day_start(day + timedelta(days=1), timezone)


@pytest.mark.parametrize(
    ("written", "winter", "day"),
    [
        ("03-01", "2024-25", date(2025, 3, 1)),
        ("11-15", "2024-25", date(2024, 11, 15)),
        ("02-29", "2024-25", date(2025, 2, 28)),
        ("02-29", "2023-24", date(2024, 2, 29)),
        ("2026-04-20", "2024-25", date(2025, 4, 20)),
        ("2026-04-20", "2025-26", date(2026, 4, 20)),
    ],
)
def test_a_month_day_falls_into_every_winter(written: str, winter: str, day: date) -> None:
    assert day_in_winter(written, winter) == day
