"""Possible winters: the same past for all, another future for each, wider where something is missing."""

import numpy as np
import pytest
from tests_weather_files import with_gap, write_station

from winterrisk.weather import REQUIRED, complete, known_by, possible, read_station
from winterrisk.weather.winters import first_year, followings, winter_name, years_apart

NOW = np.datetime64("2024-01-20T10:00")
HOUR = np.timedelta64(1, "h")


@pytest.fixture(scope="module")
def station(hours, tmp_path_factory):
    return read_station(write_station(tmp_path_factory.mktemp("possible"), hours))


def _night(station, place, now, **how):
    known = complete(known_by(station, now), place, "invented")
    winter = known.sel(time=slice("2023-08-01", None))
    return winter, possible(winter, None, known, key="invented", now=now, **how)


@pytest.fixture(scope="module")
def tonight(station, place):
    return _night(station, place, NOW, members=5)


def test_all_paths_share_what_was_measured_and_part_after_it(tonight):
    winter, paths = tonight
    count = winter.sizes["time"]
    assert paths["time"].to_numpy()[-1] == np.datetime64("2024-06-30T23")
    for name in REQUIRED:
        values = paths[name].to_numpy()
        assert np.isfinite(values).all(), name
        assert values[:count] == pytest.approx(np.repeat(winter[name].to_numpy()[:, None], 5, axis=1)), name
        assert paths[name].dims == ("time", "member")
    later = paths["air_temperature"].to_numpy()[count + 48 :]
    assert later.std(axis=1).min() > 0.05
    assert (paths["air_temperature_origin"].to_numpy()[count:] == 5).all()
    assert (paths["air_temperature_origin"].to_numpy()[:count] == 0).all()
    assert np.isnan(paths["snow_depth"].to_numpy()[count:]).all()


def test_every_known_winter_follows_once_before_one_is_moved(tonight):
    _, paths = tonight
    names = paths["past_winter"].to_numpy().tolist()
    assert set(names[:3]) == {"2020-21", "2021-22", "2022-23"}
    assert all("moved" in n for n in names[3:])
    moved = [abs(int(n.split()[2])) for n in names[3:]]
    assert all(3 <= m <= 10 for m in moved)


def test_a_path_is_the_past_winters_own_weather_a_day_after_the_join(tonight, record):
    winter, paths = tonight
    count = winter.sizes["time"]
    for path in range(3):
        year = int(str(paths["past_winter"].to_numpy()[path])[:4])
        shift = years_apart(2023, year) * HOUR
        times = paths["time"].to_numpy()[count + 24 :]
        theirs = record["air_temperature"].sel(time=times - shift).to_numpy()
        assert paths["air_temperature"].to_numpy()[count + 24 :, path] == pytest.approx(theirs)


def test_the_join_has_no_jump(tonight):
    winter, paths = tonight
    count = winter.sizes["time"]
    t = paths["air_temperature"].to_numpy()
    step_at_join = np.abs(t[count] - t[count - 1]).max()
    largest = np.abs(np.diff(t[: count - 1, 0])).max()
    assert step_at_join < 1.5 * largest
    assert (paths["dew_point"] <= paths["air_temperature"] + 1e-9).all()


def test_tomorrow_changes_nothing_later_than_a_day_after_its_end(station, place, tonight):
    _, today = tonight
    winter, tomorrow = _night(station, place, NOW + np.timedelta64(24, "h"), members=5)
    assert tomorrow["past_winter"].to_numpy().tolist() == today["past_winter"].to_numpy().tolist()
    end = winter["time"].to_numpy()[-1]
    later = slice(end + 25 * HOUR, None)
    earlier = slice(None, NOW - 3 * HOUR)
    for name in REQUIRED:
        for part in (later, earlier):
            a, b = today[name].sel(time=part).to_numpy(), tomorrow[name].sel(time=part).to_numpy()
            assert a == pytest.approx(b, abs=0.02), name


def test_only_winters_known_tonight_follow(station, place, record):
    """With the whole record at hand, a night of the second winter may only use the first."""
    now = np.datetime64("2022-01-20T10:00")
    winter = record.sel(time=slice("2021-08-01", now))
    paths = possible(winter, None, record, members=3, key="invented", now=now)
    assert all(str(n).startswith("2020-21") for n in paths["past_winter"].to_numpy())


def test_the_first_winter_on_record_has_nothing_to_follow(record):
    winter = record.sel(time=slice("2020-08-01", "2021-01-10T05"))
    paths = possible(winter, None, record, members=3, key="invented")
    assert paths.attrs["continuation"] == "none: no past winter on record"
    assert paths["time"].to_numpy()[-1] == winter["time"].to_numpy()[-1]


def test_without_long_gaps_there_is_one_group(tonight):
    _, paths = tonight
    assert paths["gap_group"].to_numpy().tolist() == [0] * 5
    assert float(paths["path_weight"].sum()) == pytest.approx(1.0)


GAP = ("2023-12-10T00", "2023-12-13T23")


@pytest.fixture(scope="module")
def gappy(hours, place, tmp_path_factory):
    frame = with_gap(hours, *GAP)
    station = read_station(write_station(tmp_path_factory.mktemp("gappy"), frame))
    return _night(station, place, NOW, members=5)


def test_a_long_gap_crosses_every_path_with_every_filling(gappy):
    _, paths = gappy
    assert paths.sizes["member"] == 15
    groups, weight = paths["gap_group"].to_numpy(), paths["path_weight"].to_numpy()
    for group, together in ((0, 0.94), (1, 0.03), (2, 0.03)):
        assert weight[groups == group].sum() == pytest.approx(together)
        assert sorted(paths["path"].to_numpy()[groups == group].tolist()) == [0, 1, 2, 3, 4]
    after = paths.sel(time=slice("2023-12-15", None))
    for path in range(5):
        same = after["air_temperature"].to_numpy()[:, paths["path"].to_numpy() == path]
        assert same == pytest.approx(np.repeat(same[:, :1], 3, axis=1))


def test_the_extremes_hold_the_usual_fills_between_them(gappy, record):
    _, paths = gappy
    gap = paths.sel(time=slice(*GAP))
    groups = gap["gap_group"].to_numpy()
    mean = gap["air_temperature"].mean("time").to_numpy()
    assert mean[groups == 1].max() < mean[groups == 0].min()
    first_half = gap.isel(time=slice(0, 48))["air_temperature"].mean("time").to_numpy()
    assert first_half[groups == 2].min() > first_half[groups == 0].max()
    rain = gap["precipitation"].sum("time").to_numpy()
    assert rain[groups == 1].max() == 0.0
    before = record.sel(time=slice(None, "2024-01-20"))
    season = before.sel(time=before["time"].dt.month.isin([11, 12]))
    wettest = season["precipitation"].resample(time="D").sum().max()
    assert 0 < rain[groups == 2].min() <= float(wettest) + 1e-9
    assert np.isfinite(gap["longwave_down"].to_numpy()).all()


def test_usual_fills_differ_between_paths(gappy):
    _, paths = gappy
    gap = paths.sel(time=slice(*GAP)).isel(member=slice(0, 5))
    assert gap["air_temperature"].std("member").mean() > 1.0
    assert (gap["air_temperature_origin"] == 3).all()


def test_rain_missing_alone_leaves_the_measured_warmth(hours, place, tmp_path):
    frame = with_gap(hours, *GAP, "precipitation")
    winter, paths = _night(read_station(write_station(tmp_path, frame)), place, NOW, members=2)
    assert paths.sizes["member"] == 6
    gap = paths.sel(time=slice(*GAP))
    truth = winter["air_temperature"].sel(time=slice(*GAP)).to_numpy()
    assert gap["air_temperature"].to_numpy() == pytest.approx(np.repeat(truth[:, None], 6, axis=1))
    assert gap["precipitation"].sum("time").to_numpy()[4:].min() > 0.0


@pytest.mark.parametrize(("silent", "members"), [(20, 3), (72, 9)])
def test_a_record_that_stopped_counts_as_a_gap_up_to_tonight(station, place, silent, members):
    known = complete(known_by(station, NOW - np.timedelta64(silent, "h")), place, "invented")
    winter = known.sel(time=slice("2023-08-01", None))
    paths = possible(winter, None, known, members=3, key="invented", now=NOW)
    assert paths.sizes["member"] == members
    if silent > 24:
        stretch = paths.sel(time=slice(winter["time"].to_numpy()[-1] + HOUR, NOW - HOUR))
        t = stretch["air_temperature"].mean("time").to_numpy()
        assert t[3:6].max() < t[:3].min()


def test_a_first_winter_that_stopped_is_carried_to_tonight(record):
    winter = record.sel(time=slice("2020-08-01", "2021-01-10T05"))
    now = np.datetime64("2021-01-14T10:00")
    paths = possible(winter, None, record, members=3, key="invented", now=now)
    assert paths["time"].to_numpy()[-1] == now - HOUR
    assert paths.sizes["member"] == 9
    assert np.isfinite(paths["air_temperature"].to_numpy()).all()


def test_bridged_hours_get_the_same_noise_on_every_night(hours, place, tmp_path):
    frame = with_gap(hours, "2023-12-20T00", "2023-12-20T07")
    station = read_station(write_station(tmp_path, frame))
    nights = [_night(station, place, NOW + np.timedelta64(d, "D"), members=4)[1] for d in (0, 9)]
    fills = [
        n["air_temperature"].sel(time=slice("2023-12-20T00", "2023-12-20T07")).to_numpy() for n in nights
    ]
    assert fills[0].std(axis=1).min() > 0.05
    assert fills[0] == pytest.approx(fills[1], abs=0.05)


def test_a_forecast_comes_before_the_past_winters(tonight, record):
    winter, _ = tonight
    end = winter["time"].to_numpy()[-1] + HOUR
    coming = record.sel(time=slice(end, end + 71 * HOUR))
    paths = possible(winter, coming, record, members=3, key="invented", now=end)
    inside = paths.sel(time=slice(end, end + 71 * HOUR))
    assert (inside["air_temperature_origin"] == 4).all()
    truth = coming["air_temperature"].to_numpy()
    assert inside["air_temperature"].to_numpy() == pytest.approx(np.repeat(truth[:, None], 3, axis=1))
    assert (paths["air_temperature_origin"].to_numpy()[-100:] == 5).all()


def test_winters_by_name_and_their_distance():
    assert first_year(np.datetime64("2024-06-30T23")) == 2023
    assert first_year(np.datetime64("2024-07-01T00")) == 2024
    assert winter_name(1999) == "1999-00"
    assert years_apart(2023, 2022) == 24 * 365
    assert years_apart(2024, 2023) == 24 * 366  # a 29 February between the two


def _following(winters, count, warmth=None):
    """Followings of an invented record of so many past winters before 2023-24."""
    times = np.arange(np.datetime64(f"{2023 - winters}-07-01T00"), np.datetime64("2023-12-01T00"), HOUR)
    begins, until = np.datetime64("2023-08-01T00"), np.datetime64("2024-04-02T00")
    measured = np.ones(len(times), dtype=bool)
    given = np.zeros(len(times)) if warmth is None else warmth(times)
    return followings(measured, times, begins, until, key=("invented",), count=count, warmth=given)


def test_few_paths_stand_for_many_winters():
    """Of 24 winters, each 1 K warmer than the last, eight paths take one of every three."""
    found = _following(24, 8, lambda t: (t.astype("datetime64[Y]").astype(int) - 29).astype(float))
    years = sorted(f.winter for f in found)
    assert len(years) == 8 and all(f.moved == 0 and f.warmer == 0.0 for f in found)
    assert [(y - 1999) // 3 for y in years] == list(range(8))


def test_one_known_winter_is_not_what_must_come():
    found = _following(1, 60)
    assert found[0].warmer == 0.0 and found[0].name == "2022-23"
    warmer = np.array([f.warmer for f in found[1:]])
    assert len(np.unique(warmer)) == 59
    assert warmer.std() == pytest.approx(1.5, abs=0.35) and abs(warmer.mean()) < 0.6
    assert any("K colder" in f.name for f in found) and any("K warmer" in f.name for f in found)
    assert all(f.warmer == 0.0 for f in _following(4, 12))


def test_a_warmer_winter_is_warmer_once_the_join_is_past(record, place):
    """Air and dew point by as much; the sky's glow as a black body's at that temperature (Stefan-Boltzmann)."""
    winter = record.sel(time=slice("2021-08-01", "2022-01-10T05"))
    paths = possible(winter, None, record.sel(time=slice(None, "2022-01-10T05")), members=4, key="invented")
    names = [str(n) for n in paths["past_winter"].to_numpy()]
    assert names[0] == "2020-21" and all(" K " in n for n in names[1:])
    path, moved = 1, int(names[1].split()[2])
    warmer = float(names[1].split(", ")[1].split()[0]) * (1 if "warmer" in names[1] else -1)
    hours = np.arange(np.datetime64("2022-02-01T00"), np.datetime64("2022-02-11T00"), HOUR)
    there = record.sel(time=hours - np.timedelta64(365 - moved, "D"))
    here = paths.sel(time=hours).isel(member=path)
    lifted = here["air_temperature"].to_numpy() - there["air_temperature"].to_numpy()
    assert lifted == pytest.approx(np.full(len(hours), warmer), abs=0.06)
    kelvin = there["air_temperature"].to_numpy() + 273.15
    glow = there["longwave_down"].to_numpy() * ((kelvin + lifted) / kelvin) ** 4
    assert here["longwave_down"].to_numpy() == pytest.approx(glow, rel=1e-3)
