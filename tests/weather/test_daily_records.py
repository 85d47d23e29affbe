"""Daily records as hours: the poorest input a course has."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from tests_weather_files import Place

from winterrisk.course import local_days
from winterrisk.weather import REQUIRED, complete, filled, known_by, possible, read_station
from winterrisk.weather.half_cosines import extreme_hours, temperature_by_hour
from winterrisk.weather.local_days import hours_of_days

CHICAGO = "America/Chicago"


@pytest.fixture(scope="module")
def champion(tmp_path_factory):
    """The daily record 1982-2018 of a Nebraska place in the test extra's package: real, without a gap."""
    aquacrop = pytest.importorskip("aquacrop", reason="aquacrop is not installed (extra: test)")
    source = Path(aquacrop.__file__).parent / "data" / "champion_climate.txt"
    table = pd.read_csv(source, sep=r"\s+")
    dates = pd.to_datetime({"year": table["Year"], "month": table["Month"], "day": table["Day"]})
    path = tmp_path_factory.mktemp("champion") / "station.csv"
    named = table.rename(
        columns={
            "Tmin(C)": "air_temperature_min",
            "Tmax(C)": "air_temperature_max",
            "Prcp(mm)": "precipitation",
        }
    )
    named["time"] = dates.dt.strftime("%Y-%m-%d")
    columns = ["time", "air_temperature_min", "air_temperature_max", "precipitation"]
    path.write_text(named[columns].to_csv(index=False))
    return read_station(path, step="daily", timezone=CHICAGO)


@pytest.fixture(scope="module")
def nebraska():
    return Place(41.4, -102.2, 1000.0, CHICAGO)


@pytest.fixture(scope="module")
def by_hour(champion, nebraska):
    return complete(champion, nebraska, "champion")


def test_extremes_and_sums_of_every_day_come_back(champion, by_hour):
    days = local_days(by_hour["time"].to_numpy(), CHICAGO)
    t = by_hour["air_temperature"].to_series().groupby(days)
    assert len(t) == champion.sizes["time"]
    assert t.min().to_numpy() == pytest.approx(champion["air_temperature_min"].to_numpy())
    assert t.max().to_numpy() == pytest.approx(champion["air_temperature_max"].to_numpy())
    rain = by_hour["precipitation"].to_series().groupby(days).sum()
    assert rain.to_numpy() == pytest.approx(champion["precipitation"].to_numpy())


def test_every_hour_is_there_and_says_where_it_came_from(by_hour):
    for name in REQUIRED:
        assert np.isfinite(by_hour[name].to_numpy()).all(), name
    assert (np.diff(by_hour["time"].to_numpy()) == np.timedelta64(1, "h")).all()
    assert (by_hour["air_temperature_origin"] == 0).all()
    assert (by_hour["dew_point_origin"] == 3).all()
    assert by_hour.attrs["station_step"] == "daily"
    assert set(filled(by_hour)["what"]) == {
        "dew_point",
        "longwave_down",
        "shortwave_down",
        "surface_pressure",
        "wind_speed",
    }


def test_no_jump_at_midnight_that_a_front_does_not_explain(champion, by_hour):
    steps = np.abs(np.diff(by_hour["air_temperature"].to_numpy()))
    widest = float((champion["air_temperature_max"] - champion["air_temperature_min"]).max())
    assert steps.max() < widest / 3.0
    assert np.quantile(steps, 0.99) < 6.0


def test_rain_falls_in_one_block_of_a_day(by_hour, champion):
    days = local_days(by_hour["time"].to_numpy(), CHICAGO)
    wet = by_hour["precipitation"].to_series().gt(0).groupby(days).sum().to_numpy()
    total = champion["precipitation"].to_numpy()
    assert wet[total == 0].max() == 0
    assert wet.max() <= 25
    # an alpine winter's hours with rain or snow per day of 0.6, 1.8, 13 and 28 mm: 3.3, 4.8, 11.6, 15.4
    for least, most, hours in ((0.4, 0.8, 3.3), (1.2, 2.4, 4.8), (10.0, 16.0, 11.6), (24.0, 32.0, 15.4)):
        assert wet[(total > least) & (total < most)].mean() == pytest.approx(hours, rel=0.2)


def test_wet_days_are_moist_and_dark(by_hour, champion):
    days = local_days(by_hour["time"].to_numpy(), CHICAGO)
    daily = by_hour[["air_temperature", "dew_point", "shortwave_down", "cloud_cover"]].to_dataframe()
    mean = daily.groupby(days).mean()
    total = champion["precipitation"].to_numpy()
    month = champion["time"].dt.month.to_numpy()
    winter = np.isin(month, (11, 12, 1, 2, 3)) & (np.roll(total, 1) + np.roll(total, -1) == 0)
    below = (mean["air_temperature"] - mean["dew_point"]).to_numpy()
    # six cold stations of a climate network: 1.6 to 2.6 K below on wet days, 4 to 5 K or more on dry ones
    assert 1.5 < below[winter & (total > 5)].mean() < 3.5
    assert below[winter & (total == 0)].mean() > 5.0
    sun = mean["shortwave_down"].to_numpy()
    assert sun[winter & (total > 5)].mean() < 0.6 * sun[winter & (total == 0)].mean()
    wet_hours = by_hour["precipitation"].to_numpy() > 0.1
    gap = (by_hour["air_temperature"] - by_hour["dew_point"]).to_numpy()[wet_hours]
    assert gap.max() <= 1.1 + 1e-9


def test_paths_put_the_same_rain_at_other_hours(champion, nebraska):
    now = np.datetime64("1990-01-15T10")
    known = complete(known_by(champion, now), nebraska, "champion")
    winter = known.sel(time=slice("1989-08-01", None))
    paths = possible(winter, None, known, members=4, key="champion", now=now)
    measured = paths["precipitation"].isel(time=slice(0, winter.sizes["time"])).to_numpy()
    assert measured.sum(axis=0) == pytest.approx(measured[:, 0].sum())
    assert not np.array_equal(measured[:, 0], measured[:, 1])
    assert measured[:, 0] == pytest.approx(winter["precipitation"].to_numpy())


@pytest.mark.parametrize("timezone", [CHICAGO, "Europe/Oslo", "America/St_Johns"])
def test_local_days_have_their_23_24_and_25_hours(timezone):
    days = np.arange("2023-03-01", "2023-11-15", dtype="datetime64[D]").astype("datetime64[ns]")
    hours = hours_of_days(days, timezone)
    assert sorted(set(hours.length.tolist())) == [23, 24, 25]
    assert hours.length.sum() == len(hours.times)


def test_coldest_hour_is_near_sunrise_and_warmest_in_the_afternoon():
    days = np.arange("2024-01-01", "2024-02-01", dtype="datetime64[D]").astype("datetime64[ns]")
    hours = hours_of_days(days, CHICAGO)
    coldest, warmest = extreme_hours(hours, 41.4, -97.0)
    local = (hours.times[coldest] - days) / np.timedelta64(1, "h") - 6.0
    # sunrise in eastern Nebraska in January: 7:40 to 7:55 Central time (almanac, from memory)
    assert set(local.tolist()) <= {6.0, 7.0}
    assert set(((hours.times[warmest] - days) / np.timedelta64(1, "h") - 6.0).tolist()) <= {14.0, 15.0}


def test_polar_night_still_has_a_day():
    days = np.arange("2023-12-15", "2023-12-25", dtype="datetime64[D]").astype("datetime64[ns]")
    hours = hours_of_days(days, "Europe/Helsinki")
    low, high = np.full(10, -20.0), np.full(10, -10.0)
    curve = temperature_by_hour(low, high, hours, 68.0, 26.6)
    assert curve.min() == -20.0
    assert curve.max() == -10.0


def test_a_day_missing_or_contradicting_itself_is_filled_and_said_so(champion, nebraska):
    broken = champion.isel(time=slice(0, 800)).copy(deep=True)
    broken["air_temperature_min"][400] = 30.0  # above that day's highest
    broken["air_temperature_max"][410] = np.nan
    broken["precipitation"][420] = np.nan
    weather = complete(broken, nebraska, "champion")
    days = local_days(weather["time"].to_numpy(), CHICAGO)
    that_day = weather["air_temperature"].to_numpy()[days == champion["time"].to_numpy()[400].astype("M8[D]")]
    assert that_day.max() < 20.0  # February: the impossible low is not believed
    listed = filled(weather)
    warmth = listed[listed["what"] == "air_temperature"]["hours"].tolist()
    assert warmth == [24, 24]
    assert listed[listed["what"] == "precipitation"]["hours"].tolist() == [24]


def test_us_airport_record_reads_as_it_stands(field_data):
    raw = read_station(
        field_data / "great_lakes_airport_daily_1960_1990.csv",
        step="daily",
        timezone=CHICAGO,
        time="date",
        air_temperature_max={"column": "tmax_f", "unit": "degF"},
        air_temperature_min={"column": "tmin_f", "unit": "degF"},
        precipitation={"column": "precip_in", "unit": "inch"},
        snow_depth={"column": "snow_depth_in", "unit": "inch"},
    )
    assert raw.sizes["time"] == 10957  # rows stated with the record
    assert float(raw["snow_depth"].max()) == pytest.approx(33 * 0.0254)  # 33 in, January 1979
    weather = complete(raw.isel(time=slice(0, 1500)), Place(42.95, -87.90, 205.0, CHICAGO), "airport")
    assert np.isfinite(weather["air_temperature"].to_numpy()).all()
