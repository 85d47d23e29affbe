"""Sun on a thermometer over snow, rain or snow near the melting point, and stations in cold hollows."""

import numpy as np
import pandas as pd
import pytest
from tests_second_records import ALPINE, BOREAL, alpine, boreal, dataset, drift
from tests_weather_files import Place

from winterrisk.weather import complete, possible
from winterrisk.weather.cold_valley import clear_calm_nights, valley_rows
from winterrisk.weather.rain_or_snow import mixed_chance, phase_rows, wet_bulb_of
from winterrisk.weather.shield import sun_excess, with_sun_doubt
from winterrisk.weather.solar import clear_sky
from winterrisk.weather.sun_position import sun_position


@pytest.fixture(scope="module")
def sites(field_data):
    raw, snow = alpine(field_data)
    return {"alpine": (raw, ALPINE), "boreal": (boreal(field_data), BOREAL), "snow": snow}


def in_the_sun(raw, place: Place, excess: float):
    """The record as a thermometer without ventilation over snow would have read."""
    elevation, _ = sun_position(raw["time"].to_numpy(), place.latitude, place.longitude, place.elevation)
    clear = clear_sky(elevation, place.elevation)
    share = np.where(
        clear > 50.0, np.clip(raw["shortwave_down"].to_numpy() / np.maximum(clear, 1.0), 0, 1), 0.0
    )
    calm = (raw["wind_speed"].to_numpy() < 2.5) & (raw["snow_depth"].to_numpy() >= 0.02)
    return raw.assign(air_temperature=raw["air_temperature"] + np.where(calm, excess * share, 0.0))


@pytest.mark.parametrize("site", ["alpine", "boreal"])
def test_shielded_stations_are_not_blamed_and_unshielded_ones_are(sites, site):
    """Both real stations have proper shields: a planted 2 K comes back within a fifth."""
    raw, place = sites[site]
    same, told = with_sun_doubt(raw, place)
    assert not len(told)
    assert same.equals(raw)
    without = sun_excess(raw, place)
    for planted in (2.0, 3.0):
        found = sun_excess(in_the_sun(raw, place, planted), place)
        assert found.value - without.value == pytest.approx(planted, rel=0.2)
        assert found.value == pytest.approx(planted, abs=3 * found.error)
        _, told = with_sun_doubt(in_the_sun(raw, place, planted), place)
        assert told["verdict"].tolist() == ["suspect"]
        assert "too warm in calm sun over snow" in told["words"].iloc[0]
        assert told["value"].iloc[0] == found.value


def test_sun_doubt_is_a_spread_and_not_another_value(sites):
    raw, place = sites["alpine"]
    read = in_the_sun(raw, place, 2.0)
    out, _ = with_sun_doubt(read, place)
    assert out["air_temperature"].equals(read["air_temperature"])
    sd = out["air_temperature_sd"].to_numpy()
    assert 1.5 < sd.max() < 2.5
    dark = raw["shortwave_down"].to_numpy() < 1.0
    assert sd[dark].max() == 0.0
    assert sd[raw["snow_depth"].to_numpy() < 0.02].max() == 0.0
    assert sd[raw["wind_speed"].to_numpy() >= 2.5].max() == 0.0
    weather = complete(out, place, "x")
    assert weather["air_temperature_sd"].to_numpy() == pytest.approx(sd)
    assert (weather["air_temperature_origin"] == 0).all()
    paths = possible(weather, members=10, key="x")["air_temperature"].to_numpy()[: len(sd)]
    assert paths[sd > 1].std(axis=1).mean() > 0.5
    assert paths[sd == 0].std(axis=1).max() < 1e-9


def test_a_record_without_sun_wind_or_snow_cannot_tell(sites):
    raw, place = sites["alpine"]
    for name in ("shortwave_down", "wind_speed", "snow_depth"):
        assert sun_excess(raw.drop_vars(name), place) is None
    assert sun_excess(raw.isel(time=slice(0, 300)), place) is None


def test_phase_near_the_melting_point_against_what_was_measured(sites):
    """The alpine winter's phase was measured: chances score better with the snow depth as witness."""
    raw, place, snow = *sites["alpine"], sites["snow"]
    water, times = raw["precipitation"].to_numpy(), raw["time"].to_numpy()
    brier = {}
    for name, record in (("with", raw), ("without", raw.drop_vars("snow_depth"))):
        told = phase_rows(record, place)
        assert len(told) >= 20
        errors = []
        for row in told.itertuples():
            inside = (times >= row.time.to_datetime64()) & (times < row.until.to_datetime64()) & (water > 0)
            errors.append((row.value - np.average(snow[inside], weights=water[inside])) ** 2)
        brier[name] = float(np.mean(errors))
    assert brier["with"] < 0.09
    assert brier["with"] < 0.8 * brier["without"]
    assert brier["without"] < 0.25  # a coin


def _wet(temperature: float, **more: object):
    index = pd.date_range("2023-02-01", periods=48, freq="h")
    frame = pd.DataFrame(
        {"air_temperature": temperature, "dew_point": temperature - 0.5, "precipitation": 0.0}, index=index
    )
    frame.loc[index[12:18], "precipitation"] = 1.5
    return dataset(frame.assign(**more), station="yard")


def test_words_and_verdicts_of_phase():
    place = Place()
    for air, verdict, phase in ((0.9, "unconfirmed", "snow"), (2.2, "note", "rain"), (-0.1, "note", "snow")):
        told = phase_rows(_wet(air), place)
        assert told["verdict"].tolist() == [verdict], air
        assert f": {phase}, " in told["words"].iloc[0]
        assert told["value"].iloc[0] == pytest.approx(float(told["value"].iloc[0] >= 0.5), abs=0.5)
    assert not len(phase_rows(_wet(-5.0), place))
    assert not len(phase_rows(_wet(6.0), place))
    seen = phase_rows(_wet(0.9, snow_fraction=0.0), place)
    assert seen["value"].iloc[0] < 0.4
    told = phase_rows(_wet(-0.1, snow_fraction=0.0), place)
    assert told["verdict"].tolist() == ["suspect"]
    assert "says otherwise" in told["words"].iloc[0]
    other = phase_rows(_wet(0.9), place, [_wet(0.9, snow_fraction=1.0).assign_attrs(station="airport")])
    assert "the phase at airport" in other["words"].iloc[0]
    assert other["value"].iloc[0] > told["value"].iloc[0]


def test_flags_are_mixed_as_chances():
    assert mixed_chance([1.0, 0.0]) == 0.5
    assert mixed_chance([1.0, np.nan]) == 1.0
    assert mixed_chance([0.9, 0.1], [3.0, 1.0]) == pytest.approx(0.7)
    assert np.isnan(mixed_chance([np.nan]))


def test_wet_bulb_without_humidity_is_that_of_moist_air():
    raw = _wet(1.0).drop_vars("dew_point")
    assert wet_bulb_of(raw, Place()) == pytest.approx(0.4, abs=0.15)


@pytest.mark.parametrize("site", ["alpine", "boreal"])
@pytest.mark.parametrize("planted", [-3.0, 0.0, 3.0])
def test_a_station_in_a_hollow_is_told_by_clear_calm_nights(sites, site, planted):
    raw, place = sites[site]
    still = clear_calm_nights(raw, place)
    assert 0.05 < still.mean() < 0.25
    t = raw["air_temperature"].to_numpy()
    hill = t - 1.5 - np.where(still, planted, 0.0) + drift(len(t), 1.0, 0.9, 3)
    second = raw[["air_temperature"]].assign(air_temperature=("time", hill)).assign_attrs(station="hill")
    told = valley_rows(raw, second, place)
    if planted == 0.0:
        assert not len(told)
        return
    assert told["value"].iloc[0] == pytest.approx(planted, abs=0.5)
    assert told["verdict"].tolist() == ["note"]
    assert ("colder" if planted < 0 else "warmer") in told["words"].iloc[0]


def test_clear_nights_by_cloud_by_sun_and_by_range(sites):
    raw, place = sites["alpine"]
    by_sun = clear_calm_nights(raw, place)
    by_range = clear_calm_nights(raw.drop_vars("shortwave_down"), place)
    assert np.mean(by_range[by_sun]) > 2 * by_range.mean()
    overcast = raw.assign(cloud_cover=("time", np.ones(raw.sizes["time"])))
    assert not clear_calm_nights(overcast, place).any()
