"""The first day a green may be played by the weather alone: worked by hand on days that were made up."""

import numpy as np
import pytest
import xarray as xr

from winterrisk.recovery.playable import first_fit, fit_days

DAYS = np.arange(np.datetime64("2025-04-20"), np.datetime64("2025-05-10"))
EVEN = np.array([0.5, 0.5])


def days(**changed: tuple[int, float]) -> xr.Dataset:
    """Twenty fit days at one zone in two members; `name=(last, value)` holds a value to a day's number."""
    fit = {
        "ice_thickness_max": 0.0,
        "snow_depth_mean": 0.0,
        "hours_thawed": 20.0,
        "hours_thawed_over_frozen": 0.0,
    }
    made = {n: (("day", "zone", "member"), np.full((len(DAYS), 1, 2), v)) for n, v in fit.items()}
    for name, (last, value) in changed.items():
        made[name][1][: last + 1] = value
    return xr.Dataset(made, coords={"day": DAYS.astype("datetime64[ns]"), "zone": ["1 low"]})


def opened(winter_days: xr.Dataset, opening: str = "2025-04-28") -> str:
    return str(first_fit(fit_days(winter_days, EVEN)[:, 0], DAYS, np.datetime64(opening)))


def test_fit_ground_opens_on_the_day_and_not_before_it() -> None:
    assert opened(days()) == "2025-04-28"
    assert opened(days(), "2025-04-22") == "2025-04-22"


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("ice_thickness_max", 4.0),
        ("snow_depth_mean", 0.05),
        ("hours_thawed", 0.0),
        ("hours_thawed_over_frozen", 8.0),
    ],
)
def test_ice_snow_frost_and_a_thawed_top_over_frost_each_keep_it_shut(name: str, value: float) -> None:
    assert opened(days(**{name: (11, value)})) == "2025-05-02", "unfit to 1 May, the twelfth day"


def test_three_days_in_a_row_are_asked_and_an_end_without_them_is_not_guessed() -> None:
    made = days(snow_depth_mean=(7, 0.05))
    made["snow_depth_mean"][10] = 0.05
    assert opened(made) == "2025-05-01", "two fit days, a day of snow, then fit"
    assert opened(days(ice_thickness_max=(18, 4.0))) == "None"


def test_what_one_half_of_the_possible_winters_holds_counts_by_its_mean() -> None:
    made = days()
    made["snow_depth_mean"][9, 0, 0] = 0.05
    assert opened(made) == "2025-04-30", "2.5 cm in the mean lay on the tenth day, 29 April"
