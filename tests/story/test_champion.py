"""The main job on real weather nobody here wrote: a Nebraska station's days, a hard winter and a mild one.

The record is `champion_climate.txt` of the package aquacrop (AquaCrop-OSPy, Kelly and Foster 2021): lowest and
highest temperature and precipitation of each day, 1982 to 2018. Course and people are invented.

The rule that chooses the winters, from the record alone: frost after rain [K d] is the frost (daily means below
0 degC, added up) of the 14 days after a day that closes three with 10 mm or more, each counted where it rose
above 1 degC; a winter's number is its largest, November to April. The hard winter has the largest of all with
eight winters on record before it; the mild one the smallest of those eight, of equals the one with least frost.
"""

import datetime as dt
import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from real_records import champion_course, champion_days

from winterrisk.backcast import backcast_nights, nights_of, read_work, replay
from winterrisk.backcast.all_winters import whole_record
from winterrisk.nightly import Night, Settings, run

jsonschema = pytest.importorskip("jsonschema", reason="jsonschema is not installed (extra: test)")

SCHEMA = Path(__file__).parents[2] / "docs" / "night_schema.json"
SMALL = Settings(n_ground=2, n_paths=3, n_draws=40)
BEFORE = 8
EVERY = 21
THREE = """zones = [
    {name = "low", template = "low spot", share = 0.3},
    {name = "open", template = "open", share = 0.5},
    {name = "ridge", template = "ridge", share = 0.2},
]"""


@dataclass(frozen=True)
class Winter:
    """A winter by its first year, its frost after rain and all its frost [K d], and the rainy day."""

    year: int
    after_rain: float
    frost: float
    rain: dt.date

    @property
    def name(self) -> str:
        return f"{self.year}-{(self.year + 1) % 100:02d}"


@pytest.fixture(scope="module")
def days() -> pd.DataFrame:
    """The record as it came: Tmin(C), Tmax(C), Prcp(mm) by day."""
    return champion_days()


def winter_by_rule(days: pd.DataFrame, year: int) -> Winter:
    there = days[f"{year}-11-01" : f"{year + 1}-04-30"]
    frost = (-(there["Tmin(C)"] + there["Tmax(C)"]) / 2).clip(lower=0)
    rain = there["Prcp(mm)"].where(there["Tmax(C)"] > 1, 0).rolling(3).sum()
    later = frost[::-1].rolling(14, min_periods=1).sum()[::-1].shift(-1).fillna(0)
    after = later.where(rain >= 10, 0)
    return Winter(year, float(after.max()), float(frost.sum()), after.idxmax().date())


@pytest.fixture(scope="module")
def chosen(days: pd.DataFrame) -> tuple[Winter, Winter]:
    """The hard winter and the mild one."""
    winters = [winter_by_rule(days, year) for year in range(1982, 2018)]
    hard = max(winters[BEFORE:], key=lambda w: w.after_rain)
    eight = [w for w in winters if hard.year - BEFORE <= w.year < hard.year]
    return hard, min(eight, key=lambda w: (w.after_rain, w.frost))


@pytest.fixture(scope="module")
def course(
    days: pd.DataFrame, chosen: tuple[Winter, Winter], tmp_path_factory: pytest.TempPathFactory
) -> Path:
    hard, _ = chosen
    kept = days[f"{hard.year - BEFORE}-07-01" : f"{hard.year + 1}-05-31"]
    return champion_course(tmp_path_factory.mktemp("champion"), kept, THREE)


@pytest.fixture(scope="module")
def night(course: Path, chosen: tuple[Winter, Winter]) -> Night:
    """The night two weeks after the rain, when the frost that chose the winter has been."""
    return run(course, chosen[0].rain + dt.timedelta(days=15), send=False, settings=SMALL)


@pytest.fixture(scope="module")
def told(course: Path, chosen: tuple[Winter, Winter]) -> list[Night]:
    """The whole hard winter, every third week."""
    return list(backcast_nights(course, read_work(course, SMALL), nights_of(chosen[0].name, EVERY)))


def test_the_rule_tells_the_winters_apart(chosen: tuple[Winter, Winter]) -> None:
    hard, mild = chosen
    print(hard, mild)
    assert hard.name != mild.name and hard.after_rain > 50 > 5 > mild.after_rain and mild.frost < hard.frost


def test_a_night_of_the_hard_winter_is_written(night: Night, course: Path) -> None:
    assert night.exit_code == 0 and night.folder == course / "nights" / night.record["on"]
    written = json.loads((night.folder / "night.json").read_text(encoding="utf-8"))
    assert written == night.record
    jsonschema.Draft202012Validator(
        json.loads(SCHEMA.read_text(encoding="utf-8")), format_checker=jsonschema.FormatChecker()
    ).validate(written)
    assert {p.name for p in night.folder.iterdir()} == {"night.json", "alert.txt", "page.html", "used.json"}
    assert (night.folder / "alert.txt").read_text(encoding="utf-8") == night.alert


def test_chances_lie_in_their_ranges(night: Night) -> None:
    zones = night.record["data"]["zones"]
    assert [z["zone"] for z in zones] == ["7 low", "7 open", "7 ridge"]
    for row in (*zones, *night.record["calls"], *night.record["held_back"], *night.record["looks_wanted"]):
        assert 0 <= row["low"] <= row["chance"] <= row["high"] <= 1
    for zone in zones:
        assert 0 <= zone["dead_low"] <= zone["dead_share"] <= zone["dead_high"] <= 1
        assert zone["dead_now"] <= zone["dead_share"] + 1e-3
        for name in ("chance_now", "chance_later"):
            chances = [zone[name][band] for band in ("trace", "spots", "parts", "most")]
            assert chances == sorted(chances, reverse=True)
        assert sum(zone["causes"].values()) == pytest.approx(1, abs=1e-3)


def test_the_crown_is_warmer_than_the_air_under_snow(course: Path, days: pd.DataFrame) -> None:
    """After the heaviest fall of the record on days that never rose above 0 degC: there is no doubt of snow."""
    kept = days[str(pd.read_csv(course / "days.csv", nrows=1)["date"][0]) :]
    fall = kept["Prcp(mm)"].where(kept["Tmax(C)"] < 0, 0).rolling(3).sum().idxmax()
    (night,) = backcast_nights(course, read_work(course, SMALL), [(fall + pd.Timedelta(days=12)).date()])
    after = night.winter_days.sel(day=slice(fall - pd.Timedelta(days=2), fall + pd.Timedelta(days=10)))
    lowest = days["Tmin(C)"].reindex(pd.DatetimeIndex(after["day"].to_numpy())).to_numpy()
    snow = after["snow_depth_mean"].transpose("day", "zone", "member").to_numpy()
    crown = after["crown_temperature_min"].transpose("day", "zone", "member").to_numpy()
    cold = np.broadcast_to((lowest < -10)[:, None, None], snow.shape)
    warmer = crown - lowest[:, None, None]
    assert ((snow >= 0.04) & cold).sum() >= 10, "so much snow has to lie on the green too"
    assert warmer[(snow >= 0.02) & cold].min() > 1 and np.median(warmer[(snow >= 0.04) & cold]) > 5


def test_ice_comes_only_after_wet_and_cold(told: list[Night], days: pd.DataFrame) -> None:
    last = told[-1].winter_days.transpose("day", "zone", "member")
    known = last.sel(day=slice(None, days.index[-1]))
    dates = pd.DatetimeIndex(known["day"].to_numpy())
    fell = days["Prcp(mm)"].reindex(dates).rolling(15, min_periods=1).sum().to_numpy()
    low = days["Tmin(C)"].reindex(dates).rolling(2, min_periods=1).min().to_numpy()
    lay = pd.Series(known["snow_depth_max"].max(("zone", "member")).to_numpy(), dates).rolling(
        3, min_periods=1
    )
    ice = known["ice_thickness_max"].to_numpy()
    began = np.argwhere((ice[1:] >= 1) & (ice[:-1] < 1))[:, 0] + 1
    assert len(began) > 0, "a winter of frost after rain without any ice tests nothing"
    assert np.all(low[began] < 0)
    assert np.all((fell[began] > 1) | (lay.max().to_numpy()[began] > 0.01))
    assert ice[dates < f"{dates[0].year}-10-01"].max() == 0


def test_a_whole_winter_is_told_with_the_age_of_its_data(
    told: list[Night], chosen: tuple[Winter, Winter]
) -> None:
    assert len(told) == len(nights_of(chosen[0].name, EVERY)) == 9
    for night in told:
        assert night.exit_code == 0 and night.record["cannot_say"] == []
        assert night.record["data"]["age_hours"] in (3, 4, 5)
        assert "Weather to" in night.alert and " h old." in night.alert
        assert night.record["data"]["filled_hours"] == 0
    assert told[0].record["on"] == f"{chosen[0].year}-11-01" and told[0].record["calls"] == []
    assert any(night.record["calls"] for night in told)


def test_what_is_dead_never_comes_back(told: list[Night]) -> None:
    """With nobody's eyes and no plug in the book, harm done so far only grows, but for the paths' own doubt."""
    for label in ("7 low", "7 open", "7 ridge"):
        dead = [next(z for z in n.record["data"]["zones"] if z["zone"] == label)["dead_now"] for n in told]
        assert np.diff(dead).min() > -0.01 and dead[-1] > dead[0]


def test_the_crowns_of_the_hard_winter_are_colder_than_those_of_the_mild_one(
    course: Path, chosen: tuple[Winter, Winter]
) -> None:
    """Replayed whole: the coldest crown of each zone, and the frost of all its days [K d]."""
    work = replace(read_work(course), settings=SMALL)
    weather = whole_record(work.weather, work.course.id, np.datetime64("2030-01-01"))
    cruel, kind = (replay(work, weather, winter.name).winter_days for winter in chosen)
    for zone in work.zones:
        low, frost = (
            [float(reduced(d.sel(zone=zone)[name])) for d in (cruel, kind)]
            for name, reduced in (
                ("crown_temperature_min", lambda a: a.min("day").mean()),
                ("crown_temperature_mean", lambda a: (-a).clip(min=0).sum("day").mean()),
            )
        )
        assert low[0] < low[1] - 1 and frost[0] > 1.2 * frost[1], zone
