"""The spring guard: frost on turf in growth, and thawed tops over frozen ground."""

import numpy as np
from turf_winters import turf, winter

from winterrisk import hazards


def spring(late_minimum: float, thawed_over: float = 0.0):  # type: ignore[no-untyped-def]
    """Thirty warming days from 1 March, then one frost."""
    days = winter(
        np.append(np.linspace(1, 9, 30), 2.0), 3.0, "2026-03-01", hours_thawed_over_frozen=thawed_over
    )
    days["crown_temperature_min"][-1] = late_minimum
    return days, hazards.run(days, turf("annual_bluegrass"), {}, start_kill=-19.0)


def test_a_late_frost_on_soft_turf_is_a_notice() -> None:
    for minimum, expected in ((-3.5, True), (1.0, False)):
        days, harm = spring(minimum)
        guard = hazards.spring_guard(days, harm)
        assert bool(guard["frost_on_soft_turf"].isel(day=-1).squeeze()) is expected


def test_the_frost_kills_in_spring_not_as_winter_cold() -> None:
    _, harm = spring(-9.0)
    assert float(harm["dose_spring_frost"].isel(day=-1).squeeze()) > 3.0
    assert float(harm["dose_cold"].isel(day=-1).squeeze()) < -3.0


def test_thawed_top_over_frozen_ground_is_a_notice_not_a_dose() -> None:
    days, harm = spring(1.0, thawed_over=8.0)
    assert bool(hazards.spring_guard(days, harm)["thawed_over_frozen"].all())
    assert harm["dose_spring_frost"].equals(spring(1.0)[1]["dose_spring_frost"])
