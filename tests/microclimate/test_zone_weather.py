"""The weather of a zone: sun, sky, wind, cold air, share of snow."""

import numpy as np
import pytest
import xarray as xr

from winterrisk.course import course_from_text
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.microclimate.cold_air import night_offset
from winterrisk.microclimate.horizon import beam_seen, horizon_at, sky_view
from winterrisk.microclimate.longwave import zone_longwave
from winterrisk.microclimate.sun import diffuse_fraction, slope_gain
from winterrisk.microclimate.wind import zone_wind
from winterrisk.weather.longwave import black_body
from winterrisk.weather.solar import clear_sky
from winterrisk.weather.sun_position import sun_position
from winterrisk.weather.variables import REQUIRED, VARIABLES

COURSE = """
[place]
name = "Invented"
latitude = 45.0
longitude = -75.0
elevation = 100
timezone = "America/Toronto"

[station]
file = "station.csv"

[[areas]]
name = "1"
size = 500
[[areas.zones]]
name = "open"
template = "open"
slope = 0
[[areas.zones]]
name = "low"
template = "low spot"
slope = 0
[[areas.zones]]
name = "shade"
template = "afternoon shade"
slope = 0
[[areas.zones]]
name = "wooded"
horizon = {N = 40, NE = 40, E = 40, SE = 40, S = 40, SW = 40, W = 40, NW = 40}
slope = 0
[[areas.zones]]
name = "south"
slope = 8.75
faces = "S"
[[areas.zones]]
name = "north"
template = "north slope"
slope = 8.75
[[areas.zones]]
name = "ridge"
template = "ridge"
"""


@pytest.fixture(scope="module")
def course():
    return course_from_text(COURSE)


@pytest.fixture(scope="module")
def weather():
    """Two clear January weeks: calm nights, breezy days, a little rain and snow."""
    times = np.arange("2024-01-10", "2024-01-24", dtype="datetime64[h]").astype("datetime64[ns]")
    elevation, azimuth = sun_position(times, 45.0, -75.0, 100.0)
    clear = clear_sky(elevation, 100.0)
    t = -5.0 + 6.0 * np.cos(2 * np.pi * (np.arange(len(times)) - 20) / 24)
    values = {
        "air_temperature": t,
        "dew_point": t - 2.0,
        "wind_speed": np.where(elevation > 0, 4.0, 1.0),
        "precipitation": np.where(np.arange(len(times)) % 17 == 0, 0.5, 0.0),
        "surface_pressure": np.full(len(times), 1001.0),
        "shortwave_down": clear,
        "longwave_down": np.full(len(times), 220.0),
        "cloud_cover": np.full(len(times), 0.1),
    }
    data = {n: ("time", v, VARIABLES[n].attrs) for n, v in values.items()}
    data |= {f"{n}_origin": ("time", np.zeros(len(times), dtype=np.int8)) for n in values}
    data |= {"sun_elevation": ("time", elevation), "sun_azimuth": ("time", azimuth)}
    return xr.Dataset(data, coords={"time": times}, attrs={"timezone": "America/Toronto"})


def _sum(weather, name):
    return float(weather[name].sum())


def test_open_ground_feels_the_stations_weather(course, weather):
    there = zone_weather(weather, course, "1 open")
    for name in REQUIRED:
        assert there[name].to_numpy() == pytest.approx(weather[name].to_numpy()), name
        assert there[name].attrs["units"] == VARIABLES[name].unit
    assert there.attrs["zone"] == "1 open"
    assert there.attrs["sky_view"] == 1.0
    assert there.attrs["timezone"] == "America/Toronto"
    assert (there["air_temperature_origin"] == 0).all()


def test_snow_share_goes_with_the_wet_bulb(course, weather):
    """All rain well above the curve's 0.8 degC, all snow well below; a measured phase wins."""
    wet = weather["precipitation"].to_numpy() > 0
    warm = weather.assign({n: weather[n] + 15.0 for n in ("air_temperature", "dew_point")})
    assert (zone_weather(warm, course, "1 open")["snow_fraction"].to_numpy()[wet] == 0.0).all()
    cold = weather.assign({n: weather[n] - 15.0 for n in ("air_temperature", "dew_point")})
    assert (zone_weather(cold, course, "1 open")["snow_fraction"].to_numpy()[wet] == 1.0).all()
    told = weather.assign(snow_fraction=("time", np.full(weather.sizes["time"], 0.3)))
    assert (zone_weather(told, course, "1 open")["snow_fraction"] == 0.3).all()


def test_trees_take_sun_and_give_warmth_of_their_own(course, weather):
    opened, wooded = (zone_weather(weather, course, f"1 {z}") for z in ("open", "wooded"))
    # the January sun at 45 N never climbs over 40 degrees: only sky light and a little from the trees is left
    assert _sum(wooded, "shortwave_down") < 0.35 * _sum(opened, "shortwave_down")
    assert float((wooded["longwave_down"] - opened["longwave_down"]).min()) > 5.0


def test_afternoon_shade_takes_the_afternoon_only(course, weather):
    opened, shade = (zone_weather(weather, course, f"1 {z}") for z in ("open", "shade"))
    azimuth = weather["sun_azimuth"].to_numpy()
    up = weather["shortwave_down"].to_numpy() > 50
    share = shade["shortwave_down"].to_numpy()[up] / opened["shortwave_down"].to_numpy()[up]
    assert share[azimuth[up] < 165].mean() > 0.9
    assert share[azimuth[up] > 205].mean() < 0.6


def test_slopes_turn_to_and_from_the_sun(course, weather):
    opened, south, north = (
        _sum(zone_weather(weather, course, f"1 {z}"), "shortwave_down") for z in ("open", "south", "north")
    )
    assert north < opened < south
    # beam x1.19 and x0.80 at noon for 5 degrees; the beam is about two thirds of this sky's light
    assert 1.05 < south / opened < 1.25
    assert 0.75 < north / opened < 0.95


def test_cold_air_pools_on_clear_calm_nights_only(course, weather):
    opened, low, ridge = (
        zone_weather(weather, course, f"1 {z}")["air_temperature"] for z in ("open", "low", "ridge")
    )
    night = weather["sun_elevation"].to_numpy() < -6
    day = weather["sun_elevation"].to_numpy() > 10
    assert float((low - opened).to_numpy()[night].max()) < -1.5
    assert (low - opened).to_numpy()[day] == pytest.approx(0.0)
    assert float((ridge - opened).to_numpy()[night].min()) > 0.3
    assert (night_offset("pools", [1.0, 1.0, 6.0], [0.0, 1.0, 0.0], -20.0) == [-2.5, 0.0, 0.0]).all()
    for zone in ("low", "ridge"):
        there = zone_weather(weather, course, f"1 {zone}")
        assert (there["dew_point"] <= there["air_temperature"] + 1e-9).all()


def test_members_go_along(course, weather):
    many = weather.copy()
    for name in [*REQUIRED, "cloud_cover"]:
        stacked = np.stack([weather[name].to_numpy()] * 3, axis=1)
        many[name] = (("time", "member"), stacked, weather[name].attrs)
    many = many.assign_coords(path_weight=("member", [0.5, 0.3, 0.2]))
    for zone in course.zone_labels():
        one, three = zone_weather(weather, course, zone), zone_weather(many, course, zone)
        for name in [*REQUIRED, "snow_fraction"]:
            assert three[name].dims == ("time", "member")
            assert three[name].to_numpy()[:, 2] == pytest.approx(one[name].to_numpy()), (zone, name)
        assert three["path_weight"].to_numpy().tolist() == [0.5, 0.3, 0.2]


def test_without_the_suns_place_in_the_weather_it_is_worked_out(course, weather):
    bare = weather.drop_vars(["sun_elevation", "sun_azimuth"])
    a, b = zone_weather(weather, course, "1 shade"), zone_weather(bare, course, "1 shade")
    assert a["shortwave_down"].to_numpy() == pytest.approx(b["shortwave_down"].to_numpy())


def test_sky_view_of_even_horizons():
    """A ring of elevation h hides all but cos^2 h of the sky (closed form)."""
    assert sky_view([0.0] * 16) == 1.0
    assert sky_view([45.0] * 16) == pytest.approx(0.5)
    assert sky_view([30.0] * 16) == pytest.approx(0.75)


def test_horizon_lies_between_its_directions_all_round():
    horizon = [float(i) for i in range(16)]
    assert horizon_at(horizon, 22.5 * 3) == pytest.approx(3.0)
    assert horizon_at(horizon, 22.5 * 3.5) == pytest.approx(3.5)
    assert horizon_at(horizon, 360.0 - 11.25) == pytest.approx(7.5)
    assert beam_seen([30.0, 10.0], [0.0, 0.0], [20.0] * 16).tolist() == [1.0, 0.0]


def test_a_hidden_sky_radiates_like_the_air():
    assert float(zone_longwave(200.0, 0.0, 1.0)) == 200.0
    assert float(zone_longwave(200.0, 0.0, 0.0)) == pytest.approx(0.97 * float(black_body(0.0)))


def test_diffuse_share_is_whole_under_cloud_and_small_in_the_clear():
    """Erbs et al. (1982): kt below 0.22 nearly all diffuse (> 0.94), kt above 0.8 a share of 0.165."""
    times = np.array(["2024-01-15T17"], dtype="datetime64[ns]")
    top = 1412.0 * np.sin(np.radians(24.0))
    cloudy = diffuse_fraction(np.array([0.15 * top]), np.array([24.0]), times)
    clear = diffuse_fraction(np.array([0.9 * top]), np.array([24.0]), times)
    assert cloudy[0] > 0.94
    assert clear[0] == pytest.approx(0.165, abs=0.005)


def test_level_ground_gains_nothing():
    assert slope_gain([20.0, 40.0], [90.0, 180.0], 0.0, 180.0).tolist() == [1.0, 1.0]
    assert slope_gain([20.0], [90.0], 0.05, None).tolist() == [1.0]


def test_wind_rises_with_exposure():
    felt = [float(zone_wind(4.0, e)) for e in (-1.0, -0.5, 0.0, 0.5, 1.0)]
    assert felt == sorted(felt)
    assert felt[2] == 4.0


def test_ground_of_every_zone(course):
    ground = zone_ground(course)
    assert ground["zone"].to_numpy().tolist() == list(course.zone_labels())
    for name in ground.data_vars:
        assert {"units", "long_name"} <= set(ground[name].attrs)
    low = ground.sel(zone="1 low")
    ridge = ground.sel(zone="1 ridge")
    assert float(low["depression_storage"]) > float(ridge["depression_storage"])
    assert float(ridge["snow_gain"]) < 1.0
    assert low["drainage"].item() == "poor"
    assert low["build"].item() in ("sand", "push-up")
    assert low["cover"].item() == "mown_green"
    assert float(ground["sky_view"].sel(zone="1 wooded")) < 0.7
