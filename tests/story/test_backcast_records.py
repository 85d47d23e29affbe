"""Long real records, winter by winter, held against what the same places saw with their own eyes."""

import json
from pathlib import Path

import pandas as pd
import pytest
from real_records import (
    CRN,
    CRN_STATIONS,
    FIELD,
    SIX,
    airport_course,
    airport_days,
    by_winter,
    champion_course,
    champion_days,
    crn_course,
    needs_field_data,
)
from scipy.stats import spearmanr

from winterrisk.backcast import AllWinters, all_winters
from winterrisk.backcast.table import lines
from winterrisk.nightly import Settings

TINY = Settings(n_ground=1, n_paths=2, n_draws=20)


def of(days: pd.Series, winter: str) -> pd.Series:
    """The days of a winter, July to June."""
    return days[f"{winter[:4]}-07-01" : f"{int(winter[:4]) + 1}-06-30"]


def each(days: pd.Series, winters: pd.Index, reduce: str) -> pd.Series:
    return pd.Series({w: getattr(of(days, w), reduce)() for w in winters})


def agreement(ours: pd.Series, seen: pd.Series) -> float:
    return float(spearmanr(ours, seen[ours.index])[0])


@pytest.fixture(scope="module")
def champion(tmp_path_factory: pytest.TempPathFactory) -> AllWinters:
    return all_winters(champion_course(tmp_path_factory.mktemp("champion"), champion_days()), settings=TINY)


@pytest.fixture(scope="module")
def airport(tmp_path_factory: pytest.TempPathFactory) -> AllWinters:
    """Without the column of snow depth: that is what the snow is held against."""
    return all_winters(airport_course(tmp_path_factory.mktemp("airport"), depth=False), settings=TINY)


def test_champion_has_36_winters_and_two_halves(champion: AllWinters) -> None:
    assert sorted(r["winter"] for r in champion.ranked) == [
        f"{y}-{(y + 1) % 100:02d}" for y in range(1982, 2018)
    ]
    first, last = champion.unsaid
    assert first["winter"] == "1981-82" and "the record begins 1 Jan 1982" in first["why"]
    assert first["part"] is None and first["missing"] == ["Nov", "Dec"]
    assert last["winter"] == "2018-19" and last["part"]["until"] == "2018-12-31"
    text = lines(champion)
    reasons = [line for line in text if " in 7 " in line and "worst on" in line]
    assert len(reasons) == 36, "every winter has its reason"


def test_cold_spells_of_champion_are_cold_crowns(champion: AllWinters) -> None:
    """The coldest mean of three days of each winter against the coldest crown: little snow lies there to hide it."""
    days = champion_days()
    mean = (days["Tmin(C)"] + days["Tmax(C)"]) / 2
    crown = by_winter(champion.ranked, "crown_min")
    spell = each(mean.rolling(3).mean(), crown.index, "min")
    print("coldest crown ~ coldest three days", round(agreement(crown, spell), 2))
    assert agreement(crown, spell) > 0.7
    coldest = set(spell.nsmallest(3).index)
    assert coldest <= set(crown.nsmallest(12).index)


def test_frozen_water_of_champion_lies_as_snow(champion: AllWinters) -> None:
    days = champion_days()
    frozen = days["Prcp(mm)"].where(days["Tmin(C)"] + days["Tmax(C)"] < 0, 0)
    snow = by_winter(champion.ranked, "snow_days")
    print("snow days ~ water on days below 0", round(agreement(snow, each(frozen, snow.index, "sum")), 2))
    assert agreement(snow, each(frozen, snow.index, "sum")) > 0.65


@needs_field_data
def test_the_airport_is_read_as_it_stands(airport: AllWinters) -> None:
    """Whole degrees Fahrenheit and inches: read wrongly no winter would have its frost or its snow."""
    assert sorted(r["winter"] for r in airport.ranked) == [
        f"{y}-{(y + 1) % 100:02d}" for y in range(1960, 1990)
    ]
    assert airport.unsaid == () and all(r["measured"] > 0.98 for r in airport.ranked)
    assert "°F" in "\n".join(lines(airport)) and "°C" not in "\n".join(lines(airport))


@needs_field_data
def test_snow_of_the_airport_lies_as_long_as_its_observers_saw(airport: AllWinters) -> None:
    """Days with an inch or more: mean 67 in the record, 117 in 1978-79, 18 in 1986-87."""
    depth = airport_days()["snow_depth_in"]
    snow, deepest = (by_winter(airport.ranked, n) for n in ("snow_days", "snow_deepest"))
    seen = each((depth >= 1).astype(float), snow.index, "sum")
    print("snow days", round(agreement(snow, seen), 2), "mean", snow.mean(), "seen", seen.mean())
    print("deepest snow", round(agreement(deepest, each(depth, snow.index, "max")), 2))
    assert agreement(snow, seen) > 0.75
    assert abs(snow.mean() - seen.mean()) < 15
    assert agreement(deepest, each(depth, snow.index, "max")) > 0.55
    assert "1978-79" in snow.nlargest(5).index and "1986-87" in snow.nsmallest(5).index


@needs_field_data
def test_frost_without_snow_reaches_the_crowns_of_the_airport(airport: AllWinters) -> None:
    """The coldest day on which less than an inch lay, and days of freeze and thaw on bare ground."""
    days = airport_days()
    bare = days["snow_depth_in"] < 1
    crown, swings = (by_winter(airport.ranked, n) for n in ("crown_min", "swings"))
    cold = agreement(crown, each(days["tmin_f"].where(bare), crown.index, "min"))
    turns = each((bare & (days["tmax_f"] > 32) & (days["tmin_f"] <= 32)).astype(float), swings.index, "sum")
    print("coldest crown ~ coldest bare day", round(cold, 2), "swings", round(agreement(swings, turns), 2))
    assert cold > 0.4 and agreement(swings, turns) > 0.45


@needs_field_data
def test_six_stations_of_one_year_cannot_be_said_and_show_their_part(tmp_path: Path) -> None:
    """A calendar year holds no winter; what it has of the second one is told to its end. Turf is coldest where the
    soil beneath grass was, October to December."""
    soil = pd.read_csv(Path(FIELD) / CRN, parse_dates=["date"])
    soil = soil[soil["date"] >= "2020-10-01"].groupby("station")["soil_t_5cm_c"].min()
    crowns = {}
    for station in CRN_STATIONS:
        folder = tmp_path / station
        folder.mkdir()
        told = all_winters(crn_course(folder, station), settings=TINY)
        assert told.ranked == ()
        spring, autumn = told.unsaid
        assert spring["winter"] == "2019-20" and "the record begins 1 Jan 2020" in spring["why"]
        assert spring["part"] is None
        assert autumn["winter"] == "2020-21" and "the record ends 31 Dec 2020" in autumn["why"]
        assert autumn["part"]["until"] == "2020-12-31"
        assert "none of the winters on record can be judged" in "\n".join(lines(told))
        crowns[station] = autumn["part"]["crown_min"]
    print("coldest crown ~ coldest soil", round(agreement(pd.Series(crowns), soil), 2), crowns)
    assert agreement(pd.Series(crowns), soil) > 0.7
    assert max(crowns, key=lambda s: crowns[s]) == "Chatham", "deep lake snow: its soil never froze"


@pytest.mark.slow
def test_champion_whole_at_the_command_line(tmp_path: Path, winterrisk_command) -> None:
    folder = champion_course(tmp_path, champion_days(), SIX)
    code, out, err = winterrisk_command("backcast", folder, "--no-calls", "--json")
    assert code == 0 and len(err.splitlines()) == 37
    said = json.loads(out)
    assert len(said["winters"]) == 36 and all(len(w["zones"]) == 6 for w in said["winters"])
    assert [w["winter"] for w in said["cannot_say"]] == ["1981-82", "2018-19"]


@pytest.mark.slow
@needs_field_data
def test_the_airport_whole_at_the_command_line(tmp_path: Path, winterrisk_command) -> None:
    """With its snow depth read too; the observers' snow must not be further from ours for it."""
    code, out, _ = winterrisk_command("backcast", airport_course(tmp_path), "--no-calls", "--json")
    winters = json.loads(out)["winters"]
    assert code == 0 and len(winters) == 30
    snow = pd.Series({w["winter"]: w["snow_days_d"] for w in winters})
    seen = each((airport_days()["snow_depth_in"] >= 1).astype(float), snow.index, "sum")
    assert agreement(snow, seen) > 0.75
