"""The sun kept by calendar year is the sun worked anew, to the last bit."""

import numpy as np
import pytest

from winterrisk.weather.sun_position import HALF_AN_HOUR, sun_at, sun_position

PLACES = [(46.6, -95.0, 380.0), (69.65, 18.96, 10.0), (45.5, -73.6, 30.0)]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(
    ("first", "hours"),
    [("2023-12-30T05", 99), ("2024-02-28T00", 49), ("2024-08-01T04", 1500), ("2025-01-01T00", 1)],
)
def test_kept_hours_are_the_same_bits(place: tuple[float, float, float], first: str, hours: int) -> None:
    times = np.datetime64(first, "h") + np.arange(hours)
    anew = sun_at(times.astype("datetime64[ns]") + HALF_AN_HOUR, *place)
    for kept, fresh in zip(sun_position(times.astype("datetime64[ns]"), *place), anew, strict=True):
        assert kept.tobytes() == fresh.tobytes()
    again = sun_position(times[::-1], *place)
    assert again[0][::-1].tobytes() == anew[0].tobytes(), "any order of hours is answered in that order"


def test_other_than_whole_hours_are_worked_as_they_are() -> None:
    times = np.datetime64("2024-03-01T05:20", "m") + np.arange(3) * np.timedelta64(60, "m")
    anew = sun_at(times.astype("datetime64[ns]") + HALF_AN_HOUR, *PLACES[0])
    kept = sun_position(times, *PLACES[0])
    whole = sun_position(times.astype("datetime64[h]"), *PLACES[0])
    assert kept[0].tobytes() == anew[0].tobytes() != whole[0].tobytes()


def test_what_is_handed_out_can_be_changed_without_harm() -> None:
    times = np.datetime64("2024-12-01T00", "h") + np.arange(24)
    first, _ = sun_position(times, *PLACES[0])
    kept = first.copy()
    first[:] = 0.0
    assert np.array_equal(sun_position(times, *PLACES[0])[0], kept)
