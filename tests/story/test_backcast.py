"""Every winter on record at the command line: ranked, with reasons, and none passed over in silence."""

import datetime as dt
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from real_records import champion_course, champion_days

from winterrisk.backcast import AllWinters, OnRecord, Replay, all_winters, on_record, read_work
from winterrisk.backcast.calls import counted, nights_on_record
from winterrisk.backcast.table import frame, lines
from winterrisk.backcast.winter_row import soaked_freezes
from winterrisk.backcast.worst_day import worst_day
from winterrisk.hazards.names import HAZARDS, PARTS
from winterrisk.nightly import Settings
from winterrisk.thresholds import Thresholds
from winterrisk.weather.variables import FILLED

TINY = Settings(n_ground=1, n_paths=2, n_draws=20)
PLANTED = pd.date_range("1985-01-19", "1985-01-21")
GAP = "1983-84"
"""February of this winter is taken out of the record."""


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Champion from July 1982 to the end of 1985: a month gone; one winter ten degrees milder and dry, but for three
    planted nights."""
    days = champion_days()["1982-07-01":"1985-12-31"].astype(float)
    days.loc["1984-02-01":"1984-02-29"] = np.nan
    days.loc["1984-10-01":"1985-05-31", ["Tmin(C)", "Tmax(C)"]] += 10.0
    days.loc[PLANTED, "Tmin(C)"] = (-24.0, -28.0, -25.0)
    days.loc[PLANTED, "Tmax(C)"] = (-12.0, -15.0, -11.0)
    days.loc["1984-10-01":"1985-01-31", "Prcp(mm)"] = 0.0
    return champion_course(tmp_path_factory.mktemp("short"), days)


@pytest.fixture(scope="module")
def told(short: Path) -> AllWinters:
    return all_winters(short, settings=TINY)


def _origins(days: pd.DatetimeIndex, measured: np.ndarray) -> xr.Dataset:
    """Hourly origins of days in UTC: measured or filled."""
    hours = pd.date_range(days[0], days[-1] + pd.Timedelta(hours=23), freq="h")
    origin = np.where(np.repeat(measured, 24), 0, FILLED)
    names = ("air_temperature_origin", "precipitation_origin")
    return xr.Dataset(dict.fromkeys(names, ("time", origin)), coords={"time": hours})


def test_a_winter_is_judged_only_with_its_months(short: Path) -> None:
    course = read_work(short).course
    days = pd.date_range("2000-07-01", "2003-06-30")
    january = (days >= "2001-12-28") & (days < "2002-01-25")
    thin = (days >= "2002-11-01") & (days < "2003-04-01") & (np.arange(len(days)) % 4 == 0)
    found = on_record(_origins(days, ~(january | thin)), course)
    assert [w.winter for w in found] == ["2000-01", "2001-02", "2002-03"]
    assert found[0].why == "" and found[0].measured == 1.0 and found[0].missing == ()
    assert found[1].missing == ("Jan",) and found[1].why.startswith("Jan less than half measured")
    assert found[1].measured == pytest.approx(1 - 28 / 151, abs=0.005)
    assert found[2].missing == () and "too many gaps" in found[2].why
    assert found[2].measured == pytest.approx(0.75, abs=0.01)


def test_a_record_that_begins_late_or_ends_early_is_said(short: Path) -> None:
    course = read_work(short).course
    days = pd.date_range("2000-10-10", "2002-02-10")
    late, early = on_record(_origins(days, np.ones(len(days), dtype=bool)), course)
    assert "the record begins 9 Oct 2000" in late.why and not late.in_time and late.missing == ()
    assert early.missing == ("Feb", "Mar") and "the record ends 10 Feb 2002" in early.why and early.in_time


def test_every_winter_stands_in_the_table_once(told: AllWinters) -> None:
    ranked, unsaid = ([row["winter"] for row in rows] for rows in (told.ranked, told.unsaid))
    assert sorted(ranked) == ["1982-83", "1984-85"] and unsaid == [GAP, "1985-86"]
    assert [row["rank"] for row in told.ranked] == [1, 2]
    chances = [row["chance"] for row in told.ranked]
    assert chances == sorted(chances, reverse=True)
    for row in (*told.ranked, *(r["part"] for r in told.unsaid)):
        assert 0 <= row["low"] <= row["chance"] <= row["high"] <= 1
        assert row["dead_low"] <= row["dead_share"] <= row["dead_high"]
        assert row["zone"] == max(row["zones"], key=lambda z: row["zones"][z]["chance"])


def test_a_planted_frost_is_named_with_its_day(told: AllWinters) -> None:
    """Three days down to -28 degC on bare ground kill more than all the rest of a mild winter."""
    row = next(r for r in told.ranked if r["winter"] == "1984-85")
    assert row["cause"] in ("cold", "swings")
    assert row["worst_day"] in [str(d.date()) for d in PLANTED]
    assert row["crown_min"] == pytest.approx(row["worst_day_crown"], abs=3)
    text = "\n".join(lines(told))
    assert f"in {row['zone']}, worst on {int(row['worst_day'][-2:])} Jan 1985: crown down to" in text


def test_what_cannot_be_said_is_named_and_not_ranked(told: AllWinters) -> None:
    gap, part = told.unsaid
    assert gap["missing"] == ["Feb"] and "Feb less than half measured" in gap["why"]
    assert part["missing"] == ["Jan", "Feb", "Mar"] and "the record ends 31 Dec 1985" in part["why"]
    assert part["part"]["until"] == "1985-12-31"
    text = "\n".join(lines(told))
    assert "CANNOT SAY, which is no all-clear:" in text
    for row in told.unsaid:
        assert f"{row['winter']:<8}{row['why']}" in text
    table = frame(told).set_index("winter")
    assert list(table.index) == [*(r["winter"] for r in told.ranked), GAP, "1985-86"]
    assert table.loc[[GAP, "1985-86"], "rank"].isna().all()
    assert table.loc[GAP, "cannot_say"] == gap["why"]


def test_the_command_line_gives_one_object_and_a_file(
    short: Path, told: AllWinters, tmp_path: Path, winterrisk_command
) -> None:
    words = ("backcast", short, "--json", "--every", 200, "--cores", 1, "--csv", tmp_path / "winters.csv")
    code, out, err = winterrisk_command(*words)
    assert code == 0, err
    said = json.loads(out)
    assert {w["winter"] for w in said["winters"]} == {w["winter"] for w in told.ranked}
    assert [w["winter"] for w in said["cannot_say"]] == [w["winter"] for w in told.unsaid]
    assert said["forecast"].startswith("none: past winters") and said["every"] == 200
    assert (said["members"], said["draws"]) == (20, 200)
    assert err.splitlines()[-1] == "1985-86 worked, 4 of 4" and len(err.splitlines()) == 4
    for winter in said["winters"]:
        assert winter["nights"] == 1 and winter["messages"] <= 1 and winter["why"]
    table = pd.read_csv(tmp_path / "winters.csv")
    assert list(table["winter"])[:2] == [w["winter"] for w in said["winters"]]
    assert np.allclose(table["chance"][:2], [w["chance"] for w in said["winters"]], atol=1e-4)
    assert "crown_min_degC" in table and "crown_min_degC" in said["winters"][0]
    assert not (short / "nights").exists() and not (short / "reports").exists()


def _night(on: str, chance: float, *calls: str, unsaid: bool = False, back: str = "") -> dict:
    return {
        "on": on,
        "calls": [{"kind": kind, "zone": "7 low"} for kind in calls],
        "cannot_say": [{"zone": "7 low"}] if unsaid else [],
        "data": {
            "zones": [{"zone": "7 low", "chance": chance}, {"zone": "7 ridge", "chance": 0.1}],
            "forecast": None if unsaid else {"source": "invented"},
            "turned": [{"zone": "7 low", "was": back, "now": "none"}] if back else [],
        },
    }


def test_calls_are_counted_by_hand() -> None:
    """The same call again is no new message, not even after a quiet night, nor is one that drops out."""
    told = counted(
        [
            _night("2001-01-01", 0.2, "look"),
            _night("2001-01-02", 0.3, "look"),
            _night("2001-01-03", 0.6, "look", "pull"),
            _night("2001-01-04", 0.5, unsaid=True),
            _night("2001-01-05", 0.05, "pull", "look"),
            _night("2001-01-06", 0.05, "pull", back="look"),
        ]
    )
    assert told == {
        "nights": 6, "messages": 2, "looks": 4, "pulls": 3, "unsaid_nights": 1,
        "forecast_nights": 5, "turned": 1, "flip_flop": pytest.approx((0.1 + 0.3 + 0.1 + 0.4 - 0.5) / 4),
        "said": 0.6, "said_on": "2001-01-03", "said_zone": "7 low",
    }  # fmt: skip
    assert counted([])["said_zone"] == ""


def test_no_night_lies_beyond_the_record() -> None:
    winter = OnRecord("2001-02", 1.0, (), dt.date(2001, 11, 20), dt.date(2002, 1, 3), "")
    nights = nights_on_record(winter, 1)
    assert (nights[0], nights[-1]) == (dt.date(2001, 11, 21), dt.date(2002, 1, 4))


def test_no_winter_that_can_be_said_is_exit_3(tmp_path: Path, winterrisk_command) -> None:
    folder = champion_course(tmp_path, champion_days()["2018-08-01":])
    code, out, _ = winterrisk_command("backcast", folder, "--no-calls")
    assert code == 3
    assert "none of the winters on record can be judged" in out
    assert "2018-19 Jan, Feb, Mar less than half measured; the record ends 31 Dec 2018" in out
    assert "to 31 Dec: " in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--forecast", "archived"), "--forecast archived: found no [forecast]"),
        (("--forecast", "truth"), "--forecast: found 'truth', expected archived, errors, none"),
        (("1984-85", "--json"), "--json: found with 1984-85"),
        (("1984-85", "--no-calls"), "--no-calls: found with 1984-85"),
        (("--no-calls", "--csv", "missing/folder/winters.csv"), "winters.csv"),
    ],
)
def test_what_it_does_not_do_is_refused_in_words(
    tmp_path: Path, winterrisk_command, words: tuple[str, ...], told: str
) -> None:
    folder = champion_course(tmp_path, champion_days()["2018-08-01":])
    code, out, err = winterrisk_command("backcast", folder, *words)
    assert code == 2 and out == ""
    assert told in err and "expected" in err.splitlines()[-1]


def test_soaked_freezes_by_hand() -> None:
    """Wet on the first day only; hard frost on days 2, 4 and 5: the last is four days after the wet hours."""
    values = {
        "hours_wet": [10.0, 0, 0, 0, 0],
        "crown_water": [1.0, 1.0, 1.0, 1.0, 1.0],
        "crown_temperature_min": [1.0, -6.0, -2.0, -6.0, -6.0],
    }
    days = xr.Dataset(
        {n: (("day", "zone", "member"), np.array(v)[:, None, None]) for n, v in values.items()},
        coords={"zone": ["7 low"]},
    )
    assert soaked_freezes(days, -4.0)[:, 0, 0].tolist() == [False, True, False, True, False]
    dry = days.assign(crown_water=days["crown_water"] * 0.8)
    assert not soaked_freezes(dry, -4.0).any()


def test_the_worst_day_is_the_steepest_rise_not_the_last() -> None:
    """Margins below the kill temperature [K] day by day: the chance passes its middle on the third day."""
    margins = np.array([-99.0, -20.0, 1.0, 2.0, 2.0, 9.0])
    doses = {f"dose_{name}": np.zeros(len(margins)) for name in HAZARDS if name != "wet_freeze"}
    doses["dose_spring_frost"] = np.full(len(margins), -99.0)
    doses["dose_cold"] = margins
    days = pd.date_range("2001-01-01", periods=len(margins))
    axes = ("species", "day", "zone", "member")
    harm = xr.Dataset(
        {name: (axes, values[None, :, None, None]) for name, values in doses.items()},
        coords={"species": ["creeping_bent"], "day": days, "zone": ["7 low"]},
    )
    none = np.full((1, len(margins), 1, 1, len(PARTS)), -99.0)
    harm["dose_wet_freeze"] = ((*axes, "part"), none)
    outlook = xr.Dataset(
        {"weight": (("zone", "member", "draw"), np.ones((1, 1, 1)))}, coords={"zone": ["7 low"]}
    )
    draws = Thresholds.defaults().draw(9, ("worst day",), "chance")
    told = Replay("2000-01", xr.Dataset(coords={"day": days}), harm, outlook, None, draws)  # type: ignore[arg-type]
    cover = {"creeping_bent": 1.0}
    assert worst_day(told, "7 low", "cold", cover) == np.datetime64("2001-01-03")
    assert worst_day(told, "7 low", "swings", cover) == np.datetime64("2001-01-03")
    assert worst_day(told, "7 low", "background", cover) is None
    assert worst_day(told, "7 low", "cold", {"annual_bluegrass": 1.0}) is None


@pytest.mark.slow
def test_the_figures_do_not_depend_on_the_processes(tmp_path: Path) -> None:
    folder = champion_course(tmp_path, champion_days()["2010-07-01":"2016-06-30"])
    one = all_winters(folder, settings=TINY, night_settings=TINY, every=60)
    two = all_winters(folder, settings=TINY, night_settings=TINY, every=60, processes=2)
    assert one == two and len(one.ranked) == 6
