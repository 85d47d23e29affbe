"""The invented sample course: remade byte by byte, marked as invented, its winters what its README says."""

import ast
import os
import subprocess
import sys
import tomllib
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest

FOLDER = Path(__file__).parents[2] / "sample_weather" / "ostermoor"
MADE = ("README.md", "course.toml", "station.csv") + tuple(
    f"book/{name}.csv" for name in ("observations", "plugs", "batches", "looks", "surveys", "decisions")
)
LATITUDE, LONGITUDE, ELEVATION = 46.6, -95.0, 380
STANDARD_TIME = pd.Timedelta(hours=-6)
KEPT_OUT = slice("2024-02-15T18:00", "2024-02-22T17:00")  # the week of the stuck thermometer


def table(name: str) -> pd.DataFrame:
    """A table of the book with its times read and the zone's label in `label`."""
    out = pd.read_csv(FOLDER / "book" / f"{name}.csv", comment="#", keep_default_na=True)
    for column in {"time", "cut", "known", "warm_from"} & set(out):
        out[column] = pd.to_datetime(out[column])
    if "zone" in out:
        out["label"] = out["area"].astype(str) + " " + out["zone"]
    return out


@pytest.fixture(scope="module")
def station() -> pd.DataFrame:
    """The station file as it stands, indexed by time."""
    return pd.read_csv(FOLDER / "station.csv", comment="#", index_col="time", parse_dates=["time"])


@pytest.fixture(scope="module")
def course() -> dict:
    return tomllib.loads((FOLDER / "course.toml").read_text())


@pytest.fixture(scope="module")
def days(station: pd.DataFrame) -> pd.DataFrame:
    """Local days: low, high [degC], water and its part above 1 degC [mm], snow depth at their start [m]."""
    day = (station.index + STANDARD_TIME).normalize()
    warm = station["air_temperature"] > 1.0
    return pd.DataFrame(
        {
            "low": station["air_temperature"].groupby(day).min(),
            "high": station["air_temperature"].groupby(day).max(),
            "water": station["precipitation"].groupby(day).sum(),
            "rain": station["precipitation"].where(warm, 0.0).groupby(day).sum(),
            "depth": station["snow_depth"].groupby(day).first(),
        }
    )


def test_generator_writes_the_same_bytes(tmp_path: Path) -> None:
    command = [sys.executable, str(FOLDER / "make_sample.py"), str(tmp_path)]
    subprocess.run(command, check=True, env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"})
    made = sorted(str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*") if path.is_file())
    assert made == sorted(MADE)
    for name in MADE:
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes(), name


def test_generator_stands_alone() -> None:
    allowed = {"numpy", "pandas", "sample_parts"} | set(sys.stdlib_module_names)
    for path in [FOLDER / "make_sample.py", *(FOLDER / "sample_parts").glob("*.py")]:
        for node in ast.walk(ast.parse(path.read_text())):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.level == 0:
                names.append(node.module or "")
            assert {name.split(".")[0] for name in names} <= allowed, path
        assert len(path.read_text().splitlines()) < 400, path


@pytest.mark.parametrize("name", [*MADE, "make_sample.py"])
def test_every_file_says_it_is_invented(name: str) -> None:
    assert "invented" in (FOLDER / name).read_text()[:2000].lower()


def test_course_has_nine_greens_and_all_templates(course: dict) -> None:
    greens = [area for area in course["areas"] if area["kind"] == "green"]
    zones = [zone for area in course["areas"] for zone in area["zones"]]
    assert [area["name"] for area in greens] == [str(n) for n in range(1, 10)]
    assert all(2 <= len(area["zones"]) <= 4 for area in greens)
    assert 22 <= len(zones) <= 26
    assert {zone["template"] for zone in zones} == {
        *("low spot", "collar dam", "drain side", "afternoon shade", "ridge"),
        *("open", "north slope", "cover edge", "irrigation low"),
    }
    for area in course["areas"]:
        assert sum(zone["share"] for zone in area["zones"]) == pytest.approx(1)
        assert sum(area["turf"].values()) == pytest.approx(1)
    shares = sorted(area["turf"]["annual_bluegrass"] for area in greens)
    assert shares[0] <= 0.05 and all(0.3 <= share <= 0.75 for share in shares[1:])


def test_people_have_addresses_that_reach_nobody(course: dict) -> None:
    assert all(person["address"].endswith("example.invalid") for person in course["people"])
    assert [person.get("second", False) for person in course["people"]] == [False, True]
    assert course["place"]["invented"] is True


def test_station_hours_and_gaps(station: pd.DataFrame) -> None:
    assert (FOLDER / "station.csv").stat().st_size < 2.9e6
    assert station.index[0] == pd.Timestamp("2020-07-01T00:00")
    assert station.index[-1] == pd.Timestamp("2026-02-28T23:00")
    assert station.index.is_monotonic_increasing and station.index.is_unique
    steps = station.index.to_series().diff().dropna() / pd.Timedelta(hours=1)
    holes = steps[steps > 1]
    assert [str(time) for time in holes.index] == ["2021-02-15 00:00:00", "2024-01-28 09:00:00"]
    assert list(holes - 1) == [96, 6]
    assert set(steps) == {1, 97, 7}
    assert not station.isna().any().any()


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("air_temperature", -40, 38),
        ("dew_point", -48, 24),
        ("wind_speed", 0.2, 16),
        ("precipitation", 0, 30),
        ("shortwave_down", 0, 1050),
        ("snow_depth", 0, 0.8),
    ],
)
def test_no_value_outside_plausible_range(station: pd.DataFrame, name: str, low: float, high: float) -> None:
    assert station[name].between(low, high).all()


def test_air_is_never_drier_than_possible_nor_wetter(station: pd.DataFrame) -> None:
    assert (station["dew_point"] < station["air_temperature"]).all()
    depression = station["air_temperature"] - station["dew_point"]
    assert depression[station["precipitation"] > 0].median() < 1.0
    winter = station[station.index.month.isin([12, 1, 2])]
    assert 1.0 < (winter["air_temperature"] - winter["dew_point"]).mean() < 4.5


def test_stuck_week_is_flat_and_the_only_one(station: pd.DataFrame) -> None:
    stuck = station.loc[KEPT_OUT, "air_temperature"]
    assert stuck.nunique() == 1 and len(stuck) == 7 * 24
    rest = station["air_temperature"].drop(stuck.index)
    run = (rest != rest.shift()).cumsum()
    assert run.value_counts().max() < 8


def test_shortwave_is_zero_at_night_and_right_at_noon(station: pd.DataFrame) -> None:
    """Sun by pvlib's solar position (NREL algorithm), which had no part in the making."""
    place = pvlib.location.Location(LATITUDE, LONGITUDE, altitude=ELEVATION)
    hours = station.index[(station.index >= "2021-03-01") & (station.index < "2022-03-01")]
    aware = hours.tz_localize("UTC")
    quarters = [place.get_solarposition(aware + pd.Timedelta(minutes=m)) for m in range(0, 61, 15)]
    highest = np.max([quarter["elevation"].to_numpy() for quarter in quarters], axis=0)
    measured = station.loc[hours, "shortwave_down"]
    assert (measured[highest < -0.3] == 0).all()
    assert (measured[highest > 8] > 0).all()
    clear = place.get_clearsky(aware + pd.Timedelta(minutes=30), model="haurwitz")["ghi"].to_numpy()
    assert (measured.to_numpy() <= 1.05 * clear + 25).all()
    day = (hours + STANDARD_TIME).normalize()
    since_midnight = (hours - day) / pd.Timedelta(hours=1) + 0.5  # summer evenings count on past 24
    parts = {"seen": measured, "clear": clear, "moment": measured * since_midnight}
    daily = pd.DataFrame(parts).groupby(day).sum()
    bright = daily[daily["seen"] > 0.9 * daily["clear"]]
    assert len(bright) > 30
    around_noon = (bright.index + pd.Timedelta(hours=18)).tz_localize("UTC")
    transit = place.get_sun_rise_set_transit(around_noon, method="spa")["transit"].dt.tz_localize(None)
    noon = (transit.to_numpy() - bright.index.to_numpy()) / pd.Timedelta(hours=1)
    off = bright["moment"] / bright["seen"] - noon
    assert off.abs().median() < 0.3 and abs(off.mean()) < 0.1


def test_climate_is_inland_and_cold(station: pd.DataFrame) -> None:
    monthly = station.groupby(station.index.month)["air_temperature"].mean()
    assert -17 < monthly[1] < -9 and 18 < monthly[7] < 24
    day = (station.index + STANDARD_TIME).normalize()
    reach = station["air_temperature"].groupby(day).agg(lambda t: t.max() - t.min())
    assert 4 < reach.mean() < 13
    cold = station[station.index.month.isin([11, 12, 1, 2, 3])]
    months = cold["precipitation"].groupby([cold.index.year, cold.index.month]).sum()
    assert 13 < months.mean() < 30 and months.max() < 45


def test_ordinary_winter_keeps_its_snow(days: pd.DataFrame) -> None:
    assert days.loc["2020-12-15":"2021-02-28", "depth"].min() >= 0.08
    assert days.loc["2020-12-01":"2021-02-28", "rain"].sum() == 0


def test_benign_winter(days: pd.DataFrame) -> None:
    november = days.loc["2021-11-01":"2021-11-16"]
    assert -8 < november["low"].mean() < -3 and 2 < november["high"].mean() < 6
    assert days.loc["2021-11-17":"2021-11-24", "water"].sum() == 0
    winter = days.loc["2021-12-01":"2022-03-15"]
    assert winter["high"].max() <= 0.5 and winter["rain"].sum() == 0
    assert winter["depth"].min() >= 0.13 and 0.2 < winter["depth"].mean() < 0.4
    melt = days.loc["2022-03-22":"2022-03-31"]
    assert melt["water"].sum() == 0 and melt["low"].min() > -0.5 and melt["high"].max() < 11


def test_long_ice_winter(days: pd.DataFrame) -> None:
    rain = days.loc["2022-12-18":"2022-12-20"]
    assert 20 <= rain["rain"].sum() <= 24 and rain["high"].max() < 4
    assert 0.03 <= days.loc["2022-12-17", "depth"] <= 0.12
    assert days.loc["2022-12-21":"2022-12-26", "low"].min() < -15
    assert days.loc["2022-12-21":"2023-03-07", "high"].max() < -1
    assert days.loc["2022-12-21":"2023-03-07", "water"].sum() < 35


def test_rain_on_snow_winter(days: pd.DataFrame) -> None:
    assert days.loc["2024-01-24", "depth"] >= 0.08
    assert 15 <= days.loc["2024-01-25":"2024-01-27", "rain"].sum() <= 19
    freeze = days.loc["2024-01-28":"2024-02-05"]
    assert freeze["high"].max() < -5 and freeze["low"].min() < -15
    assert days.loc["2024-02-08":"2024-02-13", "high"].mean() > 3


def test_bad_winter_in_order(days: pd.DataFrame) -> None:
    quiet = days.loc["2024-12-01":"2025-01-03"]
    assert quiet["high"].max() < -2 and quiet["rain"].sum() == 0 and quiet["water"].sum() < 12
    assert 0.03 <= days.loc["2025-01-05", "depth"] <= 0.10
    assert 18 <= days.loc["2025-01-05":"2025-01-06", "rain"].sum() <= 21
    assert days.loc["2025-01-07":"2025-01-09", "low"].min() <= -15
    sealed = days.loc["2025-01-07":"2025-02-18"]
    assert sealed["high"].max() < -4 and sealed["water"].sum() < 15
    thaw = days.loc["2025-02-19":"2025-02-22"]
    assert thaw["high"].between(4.5, 8.5).all() and 13 <= thaw["rain"].sum() <= 16
    assert days.loc["2025-02-24", "depth"] == 0
    freeze = days.loc["2025-02-24":"2025-02-25"]
    assert freeze["low"].min() <= -16.5 and freeze["water"].sum() == 0
    assert days.loc["2025-02-24":"2025-03-09", "high"].max() < 0


def test_bad_winter_has_many_uneventful_days(days: pd.DataFrame) -> None:
    winter = days.loc["2024-12-01":"2025-03-10"]
    assert ((winter["high"] < -5) & (winter["water"] < 0.5)).sum() > 45


def test_current_winter(days: pd.DataFrame) -> None:
    assert days.loc["2025-11-20":"2026-01-07", "rain"].sum() == 0
    assert days.loc["2025-12-01":"2026-01-07", "depth"].max() < 0.15
    assert 16 <= days.loc["2026-01-08":"2026-01-09", "rain"].sum() <= 19
    assert days.loc["2026-01-10":"2026-01-14", "low"].min() <= -19.5
    assert days.loc["2026-01-10":"2026-02-15", "high"].max() < -3
    assert 1 < days.loc["2026-02-16":"2026-02-17", "high"].min() < 5
    assert days.loc["2026-02-19":"2026-02-28", "high"].max() < -2


def test_book_columns() -> None:
    columns = {
        "observations": "time until area zone kind value unit share detail who known",
        "plugs": "id area zone spot cut depth_mm crowns control ice_mm batch label who known",
        "batches": "id warm_from room temperature light_hours light_mol void",
        "looks": "plug time species new_growth colour smell who known",
        "surveys": "winter date area zone species dead_low dead_high cause who known",
        "decisions": "time text reason night who told",
    }
    for name, expected in columns.items():
        assert list(pd.read_csv(FOLDER / "book" / f"{name}.csv", comment="#")) == expected.split(), name


def test_book_names_zones_of_the_course(course: dict) -> None:
    labels = {f"{area['name']} {zone['name']}" for area in course["areas"] for zone in area["zones"]}
    for name in ("observations", "plugs", "surveys"):
        assert set(table(name)["label"]) <= labels, name
    assert set(table("surveys")["label"]) == labels


def test_observations_count_kinds_and_holes() -> None:
    seen = table("observations")
    assert 140 <= len(seen) <= 180
    kinds = {"ice_seen", "no_ice", "snow_depth_seen", "water_seen", "snow_cleared", "cover_on", "cover_off"}
    assert kinds <= set(seen["kind"])
    ice = seen[seen["kind"] == "ice_seen"]
    assert set(ice["detail"]) == {"clear", "white"} and (ice["unit"] == "mm").all()
    assert ice["value"].between(2, 25).all()
    assert ((seen["known"] > seen["time"]) & (seen["known"] - seen["time"] < pd.Timedelta(days=4))).all()
    looks = seen[seen["kind"].isin(["ice_seen", "no_ice", "water_seen"])]["time"]
    assert not looks.between("2025-01-20", "2025-02-06T23:59").any()
    for night in ("2022-12-20", "2025-01-06", "2026-01-09"):
        before = looks[looks < night]
        assert pd.Timedelta(days=3) < pd.Timestamp(night) - before.max()
    for night in ("2025-01-06", "2026-01-09"):
        assert pd.Timestamp(night) - looks[looks < night].max() > pd.Timedelta(days=14)


def test_two_zones_were_treated() -> None:
    seen = table("observations")
    assert set(seen[seen["kind"].isin(["snow_cleared", "ice_removed"])]["label"]) == {"1 low"}
    assert set(seen[seen["kind"].str.startswith("cover_")]["label"]) == {"8 open"}


def test_plugs_batches_and_controls() -> None:
    plugs, batches, looks = table("plugs"), table("batches"), table("looks")
    assert len(plugs) == 120 and plugs["id"].is_unique
    assert 12 <= len(batches) <= 16 and set(plugs["batch"]) == set(batches["id"])
    assert plugs.groupby("batch")["control"].any().all()
    assert set(looks["plug"]) == set(plugs["id"])
    assert looks["new_growth"].between(0, 1).all()
    when = looks.merge(plugs[["id", "batch"]], left_on="plug", right_on="id").merge(
        batches[["id", "warm_from"]], left_on="batch", right_on="id"
    )
    age = (when["time"] - when["warm_from"]) / pd.Timedelta(days=1)
    assert set(np.ceil(age)) == {3, 5, 7, 10, 14}
    assert (looks["time"] <= pd.Timestamp("2026-02-28T23:59")).all()


def test_void_batch_has_a_dead_control_and_no_other_has() -> None:
    plugs, batches, looks = table("plugs"), table("batches"), table("looks")
    grown = looks.groupby("plug")["new_growth"].max()
    controls = plugs[plugs["control"]].set_index("batch")["id"].map(grown)
    void = batches.set_index("id")["void"]
    assert void.sum() == 1
    assert controls[void[void].index].max() == 0
    assert controls[void[~void].index].min() > 0.2


def test_one_plug_was_misread() -> None:
    looks = table("looks").sort_values("time")
    falls = looks.groupby(["plug", "species"])["new_growth"].agg(lambda g: g.max() >= 0.3 and g.iloc[-1] == 0)
    assert falls.groupby("plug").any().sum() == 1


def test_surveys_tell_the_winters_apart() -> None:
    surveys = table("surveys")
    classes = (0, 0.005, 0.05, 0.10, 0.20, 0.30, 0.50, 0.70, 0.90, 1.0)
    assert set(zip(surveys["dead_low"], surveys["dead_high"], strict=True)) <= set(pairwise(classes))
    assert surveys.groupby("winter").size().to_dict() == dict.fromkeys(
        ["2020-21", "2021-22", "2022-23", "2023-24", "2024-25"], 24
    )
    assert {"unknown", "mixed", "ice", "wet_freeze"} <= set(surveys["cause"])
    middle = (surveys["dead_low"] + surveys["dead_high"]) / 2
    low = surveys["label"].isin(["2 low", "4 low", "7 low", "4 dam"])
    mean = middle[low].groupby(surveys["winter"]).mean()
    assert mean["2020-21"] < 0.05 and mean["2021-22"] < 0.05
    assert mean["2022-23"] > 0.5 and mean["2024-25"] > 0.5 and 0.1 < mean["2023-24"] < 0.45
    bent = middle[surveys["label"].isin(["5 open", "5 ridge", "nursery open"])]
    assert bent.max() < 0.1


def test_decisions() -> None:
    decisions = table("decisions")
    assert 6 <= len(decisions) <= 10 and decisions.notna().all().all()
