"""Ice on a green: how it forms, seals, opens; what a person says wins."""

import numpy as np
import pandas as pd
import pytest
from winters import COOL_GROUND, DRAINING, FLAT, event, spells

from winterrisk import column

COLD = (24 * 6, {"air": -6.0})
RAIN = (8, {"air": 2.0, "rain": 2.0, "humidity": 1.0, "sky": 0.98})
HARD_FROST = (24, {"air": -10.0, "sky": 0.75})


def winter(weather, ground, **more):
    return column.run(weather, ground, soil_start=COOL_GROUND, **more)


def test_rain_then_hard_frost_seals_a_flat_zone_within_the_night() -> None:
    model = winter(spells(COLD, RAIN, HARD_FROST), FLAT)
    assert float(model["sealed"][-25]) < 0.9
    assert float(model["sealed"][-12:].min()) > 0.95
    assert 10.0 < float(model["ice_thickness"][-1]) < 20.0  # 16 mm of rain less what entered the ground
    assert float(model["ice_clear"][-1]) > 0.95


def test_the_same_rain_does_not_seal_a_draining_zone() -> None:
    model = winter(spells(COLD, RAIN, HARD_FROST), DRAINING)
    assert float(model["sealed"].max()) < 0.3
    assert float(model["ice_thickness"][-1]) < 5.0


def test_a_porous_crust_of_rained_on_snow_does_not_seal_a_draining_zone() -> None:
    snow = (24, {"air": -3.0, "snow": 1.2, "humidity": 0.95, "sky": 0.95})
    light_rain = (4, {"air": 1.5, "rain": 1.0, "humidity": 1.0, "sky": 0.98})
    model = winter(spells(COLD, snow, light_rain, (72, {"air": -8.0})), DRAINING)
    assert float(model["snow_water"][-1]) > 25.0
    assert float(model["sealed"].max()) < 0.3


def test_slush_under_snow_freezes_white() -> None:
    snow = (24, {"air": -3.0, "snow": 1.2, "humidity": 0.95, "sky": 0.95})
    model = winter(spells(COLD, snow, (10, RAIN[1]), (96, {"air": -8.0})), FLAT)
    assert float(model["ice_thickness"][-1]) > 8.0
    assert float(model["ice_clear"][-1]) < 0.2


def _sunny_days(days: int):
    return 24 * days, {
        "air": 0.5,
        "humidity": 0.7,
        "sun": lambda h: max(0.0, 450 * np.sin((h % 24 - 6) / 12 * np.pi)),
    }


def test_sun_opens_clear_ice_from_below_before_white_ice() -> None:
    weather = spells(COLD, RAIN, (24 * 5, {"air": -8.0}), _sunny_days(5))
    opened = {}
    for kind in ("clear", "white"):
        seen = pd.DataFrame([event("2025-01-09 12:00", "ice_seen", 16.0, detail=kind)])
        sealed = winter(weather, FLAT, events=seen)["sealed"].values[-24 * 5 :]
        opened[kind] = int(np.argmax(sealed < 0.5))
        assert sealed[0] > 0.9
        assert (sealed < 0.5).any()
    assert opened["clear"] < 20
    assert opened["white"] > opened["clear"] + 12


def test_days_under_ice_bridge_short_gaps_and_end_after_a_day() -> None:
    mild = {"air": 9.0, "humidity": 0.95, "sky": 0.95, "wind": 6.0}
    model = winter(
        spells(COLD, RAIN, (24 * 3, {"air": -8.0}), (60, mild), (24 * 2, {"air": -3.0})), FLAT, output="days"
    )
    days = model["days_under_ice"].isel(member=0).values
    assert 2.5 < days.max() < 5.5
    assert days[-1] == 0.0


@pytest.mark.parametrize(("seen", "under"), [(2.9, False), (3.2, True)])
def test_a_day_under_ice_is_three_millimetres_thick(seen: float, under: bool) -> None:
    """By thickness, as a ruler tells it: 3.2 mm of ice are 2.9 kg m-2."""
    ice = pd.DataFrame([event("2025-01-09 12:00", "ice_seen", seen, detail="clear")])
    model = winter(spells((24 * 12, {"air": -8.0})), FLAT, events=ice, output="days").isel(member=0)
    day = model.sel(day="2025-01-10")
    assert seen - 0.2 < float(day["ice_thickness_max"]) < seen
    assert (float(day["ice_thickness_max"]) >= 3.0) == (float(day["days_under_ice"]) > 0.0) == under


def test_no_ice_wins_over_the_model() -> None:
    seen = pd.DataFrame([event("2025-01-09 12:00", "no_ice")])
    weather = spells(COLD, RAIN, (24 * 5, {"air": -8.0}))
    before = winter(weather, FLAT)
    after = winter(weather, FLAT, events=seen)
    at = int(np.argmax(after["time"].values >= np.datetime64("2025-01-09T12")))
    assert float(before["ice_thickness"][at]) > 8.0
    assert float(after["ice_thickness"][at]) < 0.5
    np.testing.assert_array_equal(before["crown_temperature"][:at], after["crown_temperature"][:at])
    day = winter(weather, FLAT, events=seen, output="days")["days_under_ice"].isel(member=0).values
    assert day[-1] == 0.0


def test_a_persons_date_starts_the_count_in_every_member_within_the_days_of_doubt() -> None:
    seen = pd.DataFrame(
        [
            event("2025-01-05 12:00", "ice_from", 2.0, unit="d", known="2025-01-14 12:00"),
            event("2025-01-14 12:00", "ice_seen", 20.0, unit="mm", detail="clear"),
        ]
    )
    draws = {"storage": np.full(10, 1.0)}
    weather = spells((24 * 20, {"air": -6.0}))
    days = column.run(weather, DRAINING, events=seen, draws=draws, output="days", soil_start=COOL_GROUND)
    on = days["days_under_ice"].sel(day="2025-01-13").values
    assert on.min() >= 13.5 - 4.5 - 2.5
    assert on.max() <= 14.0 - 2.0
    assert np.ptp(on) > 1.0
    assert (days["days_under_ice"].sel(day="2025-01-18").values > on).all()
    assert (days["ice_thickness_max"].sel(day="2025-01-14").values > 19.0).all()


def test_observations_set_every_member_at_their_hour_and_are_accounted_for() -> None:
    weather = spells((24 * 6, {"air": -6.0}))
    seen = pd.DataFrame(
        [
            event("2025-01-03 06:00", "snow_depth_seen", 12.0, unit="cm"),
            event("2025-01-04 06:00", "snow_depth_seen", 4.0, unit="in"),
            event("2025-01-05 06:00", "crown_temperature_seen", -2.5),
            event("2025-01-05 09:00", "snow_cleared", 0.0, unit="cm"),
            event("2025-01-05 12:00", "sanded"),
            event("2025-01-05 12:00", "ice_seen", 10.0, share=0.3),
        ]
    )
    model = winter(weather, FLAT, events=seen)
    depth = model["snow_depth"].sel(time=slice("2025-01-03T06", None)).values
    assert depth[0] == pytest.approx(0.12, abs=0.005)
    assert depth[24] == pytest.approx(0.1016, abs=0.005)
    assert depth[52] == 0.0
    assert float(model["crown_temperature"].sel(time="2025-01-05T06")) == pytest.approx(-2.5, abs=0.3)
    assert float(model["ice_thickness"].max()) < 0.1  # under half the zone does not count
    assert float(model["observed_water"]) == pytest.approx(0.0, abs=3.0)
    assert float(np.abs(model["water_balance_error"]).max()) < 1e-6
    days = winter(weather, FLAT, events=seen, output="days")["treated"].isel(member=0).values
    assert days[3] == 0.0
    assert days[-1] == 1.0


def test_covers_keep_cold_and_air_out_and_venting_lets_air_in() -> None:
    weather = spells((24 * 10, {"air": -12.0}))
    cover = event("2025-01-02 00:00", "cover_on", detail="impermeable")
    bare = winter(weather, FLAT, output="days")
    laid = winter(weather, FLAT, output="days", events=pd.DataFrame([cover]))
    both = pd.DataFrame([cover, event("2025-01-06 00:00", "vented")])
    vented = winter(weather, FLAT, output="days", events=both)
    foam = winter(weather, FLAT, output="days", events=pd.DataFrame([cover | {"detail": "insulated"}]))
    last = {"day": -1, "member": 0}
    assert (
        float(laid["crown_temperature_min"].isel(last))
        > float(bare["crown_temperature_min"].isel(last)) + 0.5
    )
    assert (
        float(foam["crown_temperature_min"].isel(last))
        > float(laid["crown_temperature_min"].isel(last)) + 1.0
    )
    assert float(laid["hours_sealed"].isel(last)) == 24.0
    assert float(laid["sealed_by"].isel(last)) == 3.0
    assert float(vented["hours_sealed"].sel(day="2025-01-06").isel(member=0)) == 0.0
    assert float(bare["sealed_by"].isel(last)) == 0.0


def test_freezing_rain_glazes_turf_that_snow_of_the_same_water_would_not() -> None:
    weather = spells(COLD, (6, {"air": -1.5, "snow": 1.5, "humidity": 1.0, "sky": 0.97}), (24, {"air": -6.0}))
    glaze = weather.assign(freezing_rain=weather["precipitation"])
    assert float(winter(glaze, FLAT)["ice_thickness"][-1]) > 5.0
    assert float(winter(glaze, FLAT)["snow_depth"].max()) < 0.02
    assert float(winter(weather, FLAT)["ice_thickness"][-1]) < 0.5
