"""The next thaw, rain on snow, hard freeze and spell to drain, with chance and window."""

import numpy as np
import pytest
import xarray as xr

from winterrisk.weather.events_ahead import EventAhead, events_ahead

NOW = np.datetime64("2024-01-12T10")
HOURS = np.datetime64("2024-01-11T06", "ns") + np.arange(12 * 24) * np.timedelta64(1, "h")
ZONE = "America/Winnipeg"


def still(members: int = 10) -> xr.Dataset:
    """Invented weather at -5 degC, dry, in every path; local day 1 is 12 January."""
    shape = (len(HOURS), members)
    values = {"air_temperature": -5.0, "dew_point": -7.0, "precipitation": 0.0, "surface_pressure": 970.0}
    data = {name: (("time", "member"), np.full(shape, v)) for name, v in values.items()}
    return xr.Dataset(data, coords={"time": HOURS, "member": np.arange(members)})


def change(weather: xr.Dataset, name: str, day: int, members: slice, value: float, hours: int = 10) -> None:
    """Another value for some hours of a local day (1 = 12 January), from 9 h local on."""
    first = np.datetime64("2024-01-11T15", "h") + np.timedelta64(24 * day, "h")
    at = int((first - HOURS[0].astype("datetime64[h]")) / np.timedelta64(1, "h"))
    weather[name][at : at + hours, members] = value


def told(weather: xr.Dataset, **more: object) -> dict[str, EventAhead]:
    return {e.kind: e for e in events_ahead(weather, NOW, timezone=ZONE, **more)}  # type: ignore[arg-type]


def test_a_quiet_cold_spell_has_nothing_to_say() -> None:
    for event in told(still(), snow_depth=np.full(10, 0.2)).values():
        assert (event.chance, event.how, event.day) == (0.0, "", None)
    assert "rain on snow" not in told(still()), "nothing is known of snow"


@pytest.mark.parametrize(
    ("day", "how"),
    [(1, "concrete"), (2, "concrete"), (3, "chance"), (5, "chance"), (6, "watch"), (9, "watch")],
)
def test_the_next_thaw_and_how_firmly_it_is_told(day: int, how: str) -> None:
    weather = still()
    change(weather, "air_temperature", day, slice(0, 7), 3.0)
    thaw = told(weather)["thaw"]
    assert thaw.chance == pytest.approx(0.7)
    assert thaw.day == np.datetime64("2024-01-11") + day
    assert thaw.first == thaw.last == thaw.day
    assert thaw.how == how


def test_a_short_warm_hour_is_no_thaw() -> None:
    weather = still()
    change(weather, "air_temperature", 2, slice(None), 3.0, hours=5)
    assert told(weather)["thaw"].chance == 0.0


def test_the_window_holds_most_of_the_paths_that_have_it() -> None:
    weather = still()
    for day, members in ((3, slice(0, 1)), (4, slice(1, 5)), (5, slice(5, 9)), (9, slice(9, 10))):
        change(weather, "air_temperature", day, members, 3.0)
    thaw = told(weather)["thaw"]
    assert thaw.chance == pytest.approx(1.0)
    assert (thaw.first, thaw.last) == (np.datetime64("2024-01-15"), np.datetime64("2024-01-16"))
    assert thaw.by_day == pytest.approx(0.4)


def test_paths_count_by_their_weight() -> None:
    weather = still(3).assign_coords(path_weight=("member", [0.9, 0.05, 0.05]))
    change(weather, "air_temperature", 2, slice(1, 3), 3.0)
    assert told(weather)["thaw"].chance == pytest.approx(0.1)


def test_rain_on_snow_needs_rain_and_snow() -> None:
    weather = still()
    change(weather, "precipitation", 2, slice(None), 0.5)
    assert told(weather, snow_depth=np.full(10, 0.2))["rain on snow"].chance == 0.0, "it falls as snow"
    change(weather, "air_temperature", 2, slice(0, 4), 5.0)
    change(weather, "dew_point", 2, slice(0, 4), 4.5)
    assert told(weather, snow_depth=np.full(10, 0.2))["rain on snow"].chance == pytest.approx(0.4)
    assert told(weather, snow_depth=np.zeros(10))["rain on snow"].chance == 0.0
    seen = weather.assign(snow_depth=(("time", "member"), np.full((len(HOURS), 10), np.nan)))
    seen["snow_depth"][:20] = 0.1
    assert told(seen)["rain on snow"].chance == pytest.approx(0.4), "the last depth seen counts"


def test_hard_freeze_and_spell_to_drain() -> None:
    weather = still()
    change(weather, "air_temperature", 4, slice(0, 5), -12.0)
    assert told(weather)["hard freeze"].chance == pytest.approx(0.5)
    weather = still()
    change(weather, "air_temperature", 2, slice(None), 4.0)
    assert told(weather)["spell to melt and drain"].chance == pytest.approx(1.0)
    change(weather, "precipitation", 2, slice(0, 3), 1.0)
    assert told(weather)["spell to melt and drain"].chance == pytest.approx(0.7), "not in the rain"


def test_what_is_over_is_not_ahead() -> None:
    weather = still()
    change(weather, "air_temperature", 0, slice(None), 3.0)
    assert told(weather)["thaw"].chance == 0.0
