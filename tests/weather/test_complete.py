"""A record made whole: nothing missing, everything marked, gaps joined without a jump."""

import numpy as np
import pytest
from tests_weather_files import with_gap

from winterrisk.weather import REQUIRED, VARIABLES, WeatherError, complete, data_share, filled, read_station
from winterrisk.weather.bridge import gap_spread

SHORT = ("2023-01-10T03", "2023-01-10T08")
LONG = ("2023-02-01T06", "2023-02-05T05")


@pytest.fixture(scope="module")
def gappy(hours, place, tmp_path_factory):
    frame = with_gap(with_gap(hours, *SHORT), *LONG)
    path = tmp_path_factory.mktemp("gappy") / "station.csv"
    path.write_text(frame.to_csv(date_format="%Y-%m-%dT%H:%M"))
    return complete(read_station(path), place, "invented")


def test_nothing_required_is_missing_and_all_is_within_limits(gappy):
    for name in REQUIRED:
        values = gappy[name].to_numpy()
        assert np.isfinite(values).all(), name
        assert values.min() >= VARIABLES[name].low, name
        assert values.max() <= VARIABLES[name].high, name
        assert gappy[f"{name}_origin"].dtype == np.int8
        assert gappy[name].attrs["units"] == VARIABLES[name].unit
    assert (gappy["dew_point"] <= gappy["air_temperature"]).all()


def test_measured_values_are_untouched(gappy, hours):
    for name in ("air_temperature", "dew_point", "precipitation", "shortwave_down"):
        measured = gappy[f"{name}_origin"].to_numpy() == 0
        assert measured.mean() > 0.99
        ours = gappy[name].to_numpy()[measured]
        assert ours == pytest.approx(hours[name].to_numpy()[measured]), name


def test_every_fill_is_marked_and_listed(gappy):
    for first, last in (SHORT, LONG):
        inside = gappy.sel(time=slice(first, last))
        assert (inside["air_temperature_origin"] == 3).all()
        assert (inside["air_temperature_sd"] > 0).all()
    listed = filled(gappy)
    warmth = listed[listed["what"] == "air_temperature"]
    assert warmth["hours"].tolist() == [6, 96]
    assert set(warmth["filled_how"]) == {"filled"}
    sky = listed[listed["what"] == "longwave_down"]
    assert sky["hours"].sum() == gappy.sizes["time"]  # no station here measures it


def test_a_short_gap_has_the_spread_of_a_bridge(gappy):
    sd = gappy["air_temperature_sd"].sel(time=slice(*SHORT)).to_numpy()
    assert sd / sd.max() == pytest.approx(gap_spread(6) / gap_spread(6).max())
    assert 0.7 < sd.max() / gap_spread(6, 4.0).max() < 1.4  # the invented record's anomalies have sd 4


def test_a_long_gap_is_joined_without_a_jump(gappy):
    t = gappy["air_temperature"]
    around = t.sel(time=slice("2023-02-01T00", "2023-02-05T12")).to_numpy()
    usual_step = np.abs(np.diff(t.to_numpy())).max()
    assert np.abs(np.diff(around)).max() < 1.5 * usual_step
    assert np.std(t.sel(time=slice(*LONG)).to_numpy()) > 1.0  # weather, not a straight line


def test_wind_at_another_height_becomes_wind_at_ten_metres(hours, place, tmp_path):
    path = tmp_path / "s.csv"
    path.write_text(hours.iloc[:800].to_csv(date_format="%Y-%m-%dT%H:%M"))
    high = complete(read_station(path, height_wind=10.0), place, "x")["wind_speed"]
    low = complete(read_station(path, height_wind=2.0), place, "x")["wind_speed"]
    # FAO-56 eq. 47 turned round: u2 = 0.748 u10 over grass 0.12 m high; roughness here is larger: within 5 %
    assert float((high / low).mean()) == pytest.approx(0.748, rel=0.05)


def test_only_warmth_and_rain_are_enough(hours, place, tmp_path):
    path = tmp_path / "s.csv"
    path.write_text(hours[["air_temperature", "precipitation"]].to_csv(date_format="%Y-%m-%dT%H:%M"))
    weather = complete(read_station(path), place, "x")
    for name in REQUIRED:
        assert np.isfinite(weather[name].to_numpy()).all(), name
    assert (weather["dew_point_origin"] == 3).all()
    night = weather["sun_elevation"].to_numpy() < 0
    assert weather["shortwave_down"].to_numpy()[night].max() == 0.0
    share = data_share(weather)
    assert share == {"air_temperature": 1.0, "precipitation": 1.0}


def test_without_any_rain_or_warmth_it_is_refused(hours, place, tmp_path):
    path = tmp_path / "s.csv"
    path.write_text(hours.assign(precipitation=np.nan).iloc[:100].to_csv(date_format="%Y-%m-%dT%H:%M"))
    with pytest.raises(WeatherError, match="no precipitation in the whole record"):
        complete(read_station(path), place, "x")


def test_share_of_data_counts_warmth_and_rain_apart(hours, place, tmp_path):
    frame = hours.iloc[:2000].copy()
    frame.iloc[-36:, frame.columns.get_loc("precipitation")] = np.nan
    path = tmp_path / "s.csv"
    path.write_text(frame.to_csv(date_format="%Y-%m-%dT%H:%M"))
    weather = complete(read_station(path), place, "x")
    assert data_share(weather) == {"air_temperature": 1.0, "precipitation": 0.5}
    later = weather["time"].to_numpy()[-1] + np.timedelta64(37, "h")
    assert data_share(weather, now=later)["air_temperature"] == pytest.approx(0.5)


def test_pressure_reduced_to_the_sea_is_turned_back(hours, place, tmp_path):
    path = tmp_path / "s.csv"
    path.write_text(hours.iloc[:500].assign(surface_pressure=1015.0).to_csv(date_format="%Y-%m-%dT%H:%M"))
    weather = complete(read_station(path), place, "x")
    assert float(weather["surface_pressure"].mean()) == pytest.approx(970.0, abs=1.0)  # 380 m, standard air
    assert "sea level" in weather.attrs["surface_pressure_note"]


def test_the_same_key_gives_the_same_weather(gappy, hours, place, tmp_path):
    path = tmp_path / "station.csv"
    path.write_text(with_gap(with_gap(hours, *SHORT), *LONG).to_csv(date_format="%Y-%m-%dT%H:%M"))
    again = complete(read_station(path), place, "invented")
    assert again.equals(gappy)


def test_a_longer_record_does_not_change_what_filled_a_gap(hours, place, tmp_path):
    frame = with_gap(hours, *LONG)
    fills = []
    for last in ("2023-03-01", "2024-02-29"):
        path = tmp_path / f"{last}.csv"
        path.write_text(frame.loc[:last].to_csv(date_format="%Y-%m-%dT%H:%M"))
        fills.append(complete(read_station(path), place, "x")["air_temperature"].sel(time=slice(*LONG)))
    assert (
        float(np.abs(fills[0] - fills[1]).max()) < 1.0
    )  # the same year lends; only the usual day moves a little
