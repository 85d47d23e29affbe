"""A gauge in the cold: what it misses, what it reports late, and what the snow depth knows of it."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from tests_second_records import ALPINE, alpine, boreal, dataset, unheated

from winterrisk.science.new_snow import new_snow_density
from winterrisk.weather import complete, data_share, read_station
from winterrisk.weather.checks.rows import COLUMNS
from winterrisk.weather.gauge import believed_water, catches_snow
from winterrisk.weather.gauge_depth import rises

COLD = 0.5


@pytest.fixture(scope="module")
def winter(field_data):
    """The alpine winter as it was, and as a gauge without heating would have reported it."""
    raw, _ = alpine(field_data)
    t, water = raw["air_temperature"].to_numpy(), raw["precipitation"].to_numpy()
    return raw, raw.assign(precipitation=("time", unheated(water, t)))


def both(raw: xr.Dataset) -> tuple[np.ndarray, np.ndarray]:
    return raw["air_temperature"].to_numpy(), raw["precipitation"].to_numpy()


def test_real_records_catch_snow_with_or_without_their_depth(winter, field_data):
    """Frequency of wet cold steps over mild ones: 0.8 to 2.0 in these."""
    airport = read_station(
        field_data / "great_lakes_airport_daily_1960_1990.csv",
        step="daily",
        timezone="America/Chicago",
        time="date",
        air_temperature_max={"column": "tmax_f", "unit": "degF"},
        air_temperature_min={"column": "tmin_f", "unit": "degF"},
        precipitation={"column": "precip_in", "unit": "inch"},
        snow_depth={"column": "snow_depth_in", "unit": "inch"},
    )
    for raw in (winter[0], boreal(field_data), airport):
        assert catches_snow(raw) is True
        assert catches_snow(raw.drop_vars("snow_depth")) is True
        same, told = believed_water(raw, "heated")
        assert same.equals(raw)
        assert not len(told)


def test_a_gauge_without_heating_is_known_by_its_record(winter):
    raw = winter[1]
    assert catches_snow(raw) is False
    assert catches_snow(raw.drop_vars("snow_depth")) is False
    assert catches_snow(raw.isel(time=slice(0, 200)).drop_vars("snow_depth")) is None
    _, told = believed_water(raw, "heated")
    assert told["verdict"].iloc[0] == "suspect"
    assert "calls the gauge heated" in told["words"].iloc[0]


def test_zeros_in_the_cold_are_missing_and_none_is_left(winter):
    raw = winter[1].drop_vars("snow_depth")
    out, told = believed_water(raw, "unheated")
    t, water = both(out)
    assert not (water[t < COLD] == 0.0).any()
    assert np.isnan(water[(t < COLD) & (raw["precipitation"].to_numpy() == 0.0)]).all()
    assert tuple(told.columns) == COLUMNS
    missing = told[told["words"].str.contains("so snow here is unknown")]
    assert missing["value"].sum() == np.isnan(water[t < COLD]).sum()
    assert (missing["verdict"] == "suspect").all()


def test_melt_of_the_funnel_is_taken_out_and_real_rain_mostly_stays(winter):
    """Rain and snow of each hour are known here: 398 mm fell at 0.5 degC or more, 228 mm more is melt."""
    truth, raw = winter
    t, fell = both(truth)
    mild = t >= COLD
    late = raw["precipitation"].to_numpy()[mild].sum() - fell[mild].sum()
    assert late > 200
    for record in (raw, raw.drop_vars("snow_depth")):
        out, told = believed_water(record, "unheated")
        water = out["precipitation"].to_numpy()
        left = np.nansum(water[mild]) - fell[mild & np.isfinite(water)].sum()
        assert left < 0.5 * late
        assert fell[mild & np.isnan(water)].sum() < 0.1 * fell[mild].sum()
        sure = told[told["verdict"] == "bad"]
        assert len(sure) >= 10
        assert sure["words"].str.contains("melted in the gauge, not rain").all()
        times = out["time"].to_numpy()
        for row in sure.itertuples():
            inside = (times >= row.time) & (times < row.until)
            assert np.isnan(water[inside]).all()
            assert fell[inside].sum() <= 0.25 * row.value + 0.5


def test_snow_depth_fills_in_within_a_tenth_of_the_snow_that_fell(winter):
    """506 mm of snow in the alpine file, measured; settling and the sensor's step lose some."""
    truth, raw = winter
    t, fell = both(truth)
    out, told = believed_water(raw, "unheated")
    water = out["precipitation"].to_numpy()
    cold = t < COLD
    assert np.isfinite(water[cold]).mean() > 0.99
    assert np.nansum(water[cold]) == pytest.approx(fell[cold].sum(), rel=0.10)
    blocks = np.arange(len(t)) // 24
    daily = pd.DataFrame(
        {"fell": np.where(cold, fell, 0.0), "now": np.where(cold, np.nan_to_num(water), 0.0)}
    )
    daily = daily.groupby(blocks).sum()
    assert daily.corr().iloc[0, 1] > 0.9
    assert "snow depth" in out.attrs["precipitation_note"]
    assert told["words"].str.contains("by the rise of the snow depth").sum() >= 15
    confirmed = told[told["words"].str.contains("are confirmed")]
    assert len(confirmed) == 1
    assert confirmed["value"].iloc[0] > 2000


def test_a_boreal_depth_gives_back_what_its_gauge_caught_and_the_wind_took(field_data):
    """Gauge without correction 185 mm below 0.5 degC; wind takes a tenth to a half of dry snow there."""
    raw = boreal(field_data)
    t, caught = both(raw)
    told = rises(raw, t)
    total = told.water[t < COLD].sum()
    assert 1.0 < total / caught[t < COLD].sum() < 1.5


def test_without_a_gauge_only_the_depth_speaks(winter):
    out, _ = believed_water(winter[0], "none")
    t, water = both(out)
    assert np.isnan(water[t >= COLD]).all()
    assert np.isfinite(water[t < COLD]).mean() > 0.99
    bare, told = believed_water(winter[0].drop_vars("snow_depth"), "none")
    assert np.isnan(bare["precipitation"].to_numpy()).all()
    assert told["words"].str.contains("there is no gauge").any()


def test_cold_without_a_depth_makes_the_night_blind_for_lack_of_water(winter):
    raw = winter[1].drop_vars("snow_depth")
    until = raw["time"].to_numpy() <= np.datetime64("2006-01-27T00")
    share = data_share(complete(believed_water(raw.isel(time=until), "unheated")[0], ALPINE, "x"))
    assert share["air_temperature"] == 1.0
    assert (1 - share["precipitation"]) * 72 >= 48
    shown = believed_water(winter[1].isel(time=until), "unheated")[0]
    assert data_share(complete(shown, ALPINE, "x"))["precipitation"] > 0.9


def _spell(depth: list[float] | None, water: float = 2.0, dew_below: float = 6.0) -> xr.Dataset:
    """Two cold days, then a thaw whose first hours bring water."""
    hours = 72
    t = np.where(np.arange(hours) < 48, -6.0, 4.0)
    frame = pd.DataFrame(
        {"air_temperature": t, "dew_point": t - dew_below, "precipitation": np.zeros(hours)},
        index=pd.date_range("2023-01-10", periods=hours, freq="h"),
    )
    frame.loc[frame.index[50:54], "precipitation"] = water
    if depth is not None:
        frame["snow_depth"] = np.interp(np.arange(hours), [0, 12, 24, 71], depth)
    return dataset(frame, station="invented")


def test_melt_in_dry_air_is_certain_in_moist_air_doubtful_and_a_downpour_is_rain():
    for below, verdict in ((6.0, "bad"), (0.5, "suspect")):
        out, told = believed_water(_spell(None, dew_below=below), "unheated")
        assert np.isnan(out["precipitation"].to_numpy()[50:54]).all()
        melt = told[told["words"].str.contains("melted in the gauge")]
        assert melt["verdict"].tolist() == [verdict]
        assert melt["value"].tolist() == [8.0]
    out, told = believed_water(_spell(None, water=6.0), "unheated")
    assert out["precipitation"].to_numpy()[50:54].tolist() == [6.0] * 4


def test_a_depth_that_never_rose_makes_the_thaws_water_rain():
    out, told = believed_water(_spell([0.10, 0.10, 0.10, 0.05], dew_below=0.5), "unheated")
    water = out["precipitation"].to_numpy()
    assert water[50:54].tolist() == [2.0] * 4
    assert (water[:48] == 0.0).all()
    assert told["words"].tolist() == ["48 h of cold without snow are confirmed: the snow depth did not rise."]


def test_no_more_melts_out_than_half_as_much_again_as_fell_in():
    """4 cm of new snow at -6 degC, 3.7 of them in steps that show, is 3.0 mm: 4.5 mm of 6.8 may be melt."""
    out, _ = believed_water(_spell([0.10, 0.10, 0.14, 0.08], water=1.7), "unheated")
    water = out["precipitation"].to_numpy()
    assert np.isnan(water[50:54]).sum() == 2
    assert np.nansum(water[:48]) == pytest.approx(0.04 * float(new_snow_density(-8.0)), rel=0.1)


def test_a_depth_in_whole_inches_cannot_say_that_nothing_fell():
    depth = pd.Series(np.round(np.linspace(10, 8, 72)) * 0.0254)
    raw = _spell([0.1, 0.1, 0.1, 0.1]).assign(snow_depth=("time", depth.to_numpy()))
    out, _ = believed_water(raw, "unheated")
    assert np.isnan(out["precipitation"].to_numpy()[:48]).all()


def test_daily_readings_of_an_unheated_gauge():
    days = pd.date_range("2022-11-01", "2023-03-31", freq="D")
    rng = np.random.default_rng(5)
    high = (
        4.0 - 10.0 * np.sin(np.pi * np.arange(len(days)) / len(days)) + 4.0 * rng.standard_normal(len(days))
    )
    wet = np.where(rng.random(len(days)) < 0.4, 5.0, 0.0)
    frame = pd.DataFrame(
        {
            "air_temperature_max": high,
            "air_temperature_min": high - 8.0,
            "precipitation": np.where(high < COLD, 0.0, wet),
        },
        index=days,
    )
    raw = dataset(frame).assign_attrs(step="daily")
    assert catches_snow(raw) is False
    out, told = believed_water(raw, "unheated")
    water = out["precipitation"].to_numpy()
    assert np.isnan(water[high < COLD]).all()
    assert np.isfinite(water[high >= COLD]).all()
    assert told["words"].str.contains("days of cold").any()
    fair = dataset(frame.assign(precipitation=wet)).assign_attrs(step="daily")
    believed, told = believed_water(fair, "unheated")
    assert believed.equals(fair)
    assert told["verdict"].tolist() == ["note"]
    assert "its zeros are believed" in told["words"].iloc[0]
