"""Simulated winters: pieces, truth, field work and accounts by hand; twenty small winters played whole.

The long study is `python tests/simulation/study.py` (docs/sampling.md).
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from real_records import TWO, champion_course, champion_days
from study import HALF_THE_TRIPS, NO_PLUGS, PLANNER, WEEKLY, accounts, verdicts, with_bluegrass

from winterrisk.backcast import on_record, read_work, whole_record
from winterrisk.course import Course, day_start, replay_start
from winterrisk.sampling.restraint import MOST_MESSAGES
from winterrisk.simulation import (
    HABITS,
    Outcome,
    Played,
    Size,
    days_earlier,
    mean_interval,
    outcome,
    play,
    scene,
    summary,
)
from winterrisk.simulation.blocks import LONGEST, SHORTEST, pieces
from winterrisk.simulation.field import Field
from winterrisk.simulation.outcome import GREEN_UP
from winterrisk.simulation.policies import every_wednesday, once_at_day_45
from winterrisk.simulation.truth import AS_BELIEVED, LATE_SILL, Truth, bent_chance, true_thresholds
from winterrisk.simulation.winters import FIRST, LAST, SPRING, joined_ahead

SMALL = Size(n_ground=2, n_paths=2, n_draws=30, every=21, forecast_days=7, spring_every=28)
DAY = np.timedelta64(1, "D")


def truth(dead: float, ice_days: int = 60) -> Truth:
    """Two zones, the first dead by so much from 1 January on, both under ice from 1 December."""
    days = np.arange(np.datetime64("2001-08-01"), np.datetime64("2002-05-16"))
    share = np.zeros((len(days), 2))
    share[days >= np.datetime64("2002-01-01"), 0] = dead
    under = np.maximum((days - np.datetime64("2001-12-01")) / DAY + 1.0, 0.0)
    under = np.where(under <= ice_days, under, 0.0)
    return Truth(
        ("1 low", "1 ridge"),
        days,
        share,
        np.zeros((len(days), 2)),
        np.stack([under] * 2, axis=1),
        AS_BELIEVED,
    )


def test_pieces_fill_the_winter_and_are_keyed() -> None:
    found = pieces(("a", 1), 30)
    assert found == pieces(("a", 1), 30) != pieces(("a", 2), 30)
    assert [end for _, _, end in found[:-1]] == [begin for _, begin, _ in found[1:]]
    assert all(SHORTEST <= end - begin <= LONGEST + SHORTEST for _, begin, end in found)
    assert all(end - begin <= LONGEST for _, begin, end in found[:-1])


def test_the_true_curve_is_another_one_with_the_same_half() -> None:
    p = np.array([0.05, 0.5, 0.9])
    bent = bent_chance(p)
    assert bent[1] == pytest.approx(0.5)
    assert bent[0] > p[0] + 0.01 and np.all(np.diff(bent) > 0)
    with np.errstate(all="raise", under="ignore"):
        assert bent_chance(np.array([0.0, 1.0], dtype=np.float32)).tolist() == [0.0, 1.0]
    off = true_thresholds(("k", 1), mismatched=True)["ice_steepness"]
    assert off != true_thresholds(("k", 2), mismatched=True)["ice_steepness"]


def test_habits_go_on_their_days() -> None:
    first, last = np.datetime64(FIRST), np.datetime64(LAST)
    weekly = every_wednesday(truth(0.5), first, last)
    # day 30 of ice is 30 Dec 2001; Wednesdays from 2 Jan to the end of the ice on 29 Jan: 2, 9, 16, 23 Jan
    assert sorted({str(day) for day, _ in weekly}) == [f"2002-01-{d:02d}" for d in (2, 9, 16, 23)]
    assert once_at_day_45(truth(0.5), first, last) == [
        (np.datetime64("2002-01-14"), "1 low"), (np.datetime64("2002-01-14"), "1 ridge"),
    ]  # fmt: skip
    assert once_at_day_45(truth(0.5, ice_days=40), first, last) == []


def test_plugs_tell_of_dead_turf_only_after_it_died() -> None:
    field = Field(truth(1.0), ("plugs",))
    field.pull("1 low", np.datetime64("2001-12-20"), 6)
    assert field.known == {}
    field.pull("1 low", np.datetime64("2002-01-10"), 6)
    assert field.known == {"1 low": np.datetime64("2002-01-20")}
    assert sum(row["control"] for row in field.plugs) == 2
    by_new_year = field.tables(np.datetime64("2002-01-01"))
    assert len(by_new_year["plugs"]) == 7 and (by_new_year["looks"]["time"] < "2002-01-01").all()


def test_a_cooler_sill_greens_later() -> None:
    assert LATE_SILL.median > AS_BELIEVED.median and LATE_SILL.dead_green > AS_BELIEVED.dead_green


def test_the_first_trips_alone_leave_out_what_later_plugs_told() -> None:
    field = Field(truth(1.0), ("trips",))
    for day in ("2001-12-20", "2002-01-10"):
        field.pull("1 low", np.datetime64(day), 6)
        field.look("1 low", np.datetime64(day))
    once = field.first_trips(1)
    assert once.trips == {np.datetime64("2001-12-20")} and len(once.plugs) == 7 and once.known == {}
    assert {row["plug"] for row in once.looks} == {row["id"] for row in once.plugs}
    assert len(once.seen) == 2 and field.first_trips(2).known == field.known != {}


def test_days_earlier_and_interval_by_hand() -> None:
    def told(day: str) -> Outcome:
        known = {"1 low": np.datetime64(day)}
        return Outcome(100.0, 3, 1, 0, known, {"1 low": np.datetime64("2002-02-01")}, 0, 1, 0, 0.0)

    assert days_earlier([told("2002-01-10")], [told("2002-01-24")]) == [14.0]
    assert days_earlier([told("2002-01-10")], [told("2002-01-24")], "by_plugs") == [0.0]
    mean, low, high = mean_interval([1.0] * 10)
    assert (mean, low, high) == (1.0, 1.0, 1.0)
    mean, low, high = mean_interval(list(range(101)))
    # sd of the mean of 101 values 0..100: 29.15 / sqrt(101) = 2.90; 90 % is +-1.645 of it
    assert (
        mean == 50.0
        and low == pytest.approx(50 - 4.77, abs=0.4)
        and high == pytest.approx(50 + 4.77, abs=0.4)
    )


def test_known_is_what_plugs_or_a_night_above_two_in_three_told(winters: list) -> None:
    """Half dead in one zone, sound in the other: nights told both; plugs told nothing; a chance of 0.6 tells nobody."""
    played, course, *_ = winters[0]
    half = replace(truth(0.5), zones=("7 low", "7 ridge"))
    sound = replace(half, dead=half.dead * np.array([1.0, 0.0]))
    nights = np.array(["2001-12-20", "2002-01-10", "2002-01-12"], dtype="datetime64[D]")
    at = replace(
        played, truth=sound, field=Field(sound, ("known",)), decisions={}, nights=nights,
        said=np.array([[0.60, 0.10], [0.70, 0.70], [0.90, 0.20]]),
        said_without_plugs=np.array([[0.60, 0.10], [0.60, 0.10], [0.70, 0.20]]),
    )  # fmt: skip
    with_it = outcome(at, at.field, course, with_outlook=True)
    assert with_it.known == {"7 low": np.datetime64("2002-01-10")}
    others = outcome(at, Field(sound, ("other",)), course, with_outlook=True)
    assert others.known == {"7 low": np.datetime64("2002-01-12")}, "what the planner's plugs told is its own"
    assert (others.warned, others.wrong) == (1, 0)
    early = replace(at, said=at.said[::-1])
    assert outcome(early, at.field, course, with_outlook=True).known == {"7 low": np.datetime64("2002-01-01")}
    assert with_it.by_plugs == {"7 low": GREEN_UP}
    assert (with_it.warned, with_it.wrong) == (2, 1)
    # low two fifths, ridge three fifths of a green whose order costs 4,000: one needless warning of the ridge
    assert with_it.board == pytest.approx(0.6 * 4000.0)
    without = outcome(at, at.field, course, with_outlook=False)
    assert without.known == {"7 low": GREEN_UP} and without.warned == 0
    assert without.board == pytest.approx(0.4 * 0.5 * 4000.0), "nobody warned of the low: half an order"


@pytest.fixture(scope="module")
def winters(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Played, Course, str, int]]:
    """The study in small: twenty winters of two zones."""
    folder: Path = tmp_path_factory.mktemp("study")
    champion_course(folder, champion_days()["1990-07-01":"1999-07-31"], with_bluegrass(TWO))
    work = read_work(folder)
    end = np.datetime64(work.weather.span[1]).astype("datetime64[h]") + np.timedelta64(48, "h")
    record = whole_record(work.weather, work.course.id, end)
    begins = [
        np.datetime64(day_start(replay_start(w.winter), work.course.timezone)).astype("datetime64[ns]")
        for w in on_record(record, work.course)
        if not w.why
    ]
    played = []
    for number in range(20):
        key = ("small study", number)
        met = scene(record, begins, work.course, key, SMALL)
        winter = play(met, work.course, key, SMALL, mismatched=True)
        played.append((winter, work.course, "champion", number))
    return played


def test_twenty_winters_are_played_and_accounted_for(winters: list) -> None:
    outcomes = accounts(winters)
    assert set(outcomes) == {
        PLANNER,
        NO_PLUGS,
        HALF_THE_TRIPS,
        *HABITS,
        *(f"{name}, with the planner's outlook" for name in HABITS),
    }
    for (played, *_), ours in zip(winters, outcomes[PLANNER], strict=True):
        assert ours.plugs == sum(n for _, _, n, _ in played.field.rounds)
        assert 0.0 <= ours.cost <= 25200.0 + 4000.0 + 5000.0
        assert np.all(np.diff(played.truth.dead, axis=0) >= 0.0)
        assert played.messages <= MOST_MESSAGES
    for results in outcomes.values():
        assert [set(o.known) for o in results] == [set(o.known) for o in outcomes[PLANNER]]
    rows = summary(outcomes, PLANNER)
    assert {r["winters"] for r in rows} == {20} and len(verdicts(rows)) == 6
    assert rows[0]["plugs"] > 1.0 and rows[0]["looks"] > 0.5


def test_customs_cut_as_many_plugs_in_sum_as_the_planner(winters: list) -> None:
    """Sixty days of ice in two zones: four Wednesdays in each, or one day in each; 16 plugs in three rounds."""
    played, course, *_ = winters[0]
    iced = replace(truth(0.5), zones=("7 low", "7 ridge"))
    field = Field(iced, ("equal plugs",))
    for day, number in (("2002-01-05", 6), ("2002-01-20", 4), ("2002-02-10", 6)):
        field.pull("7 low", np.datetime64(day), number)
    started = [(replace(played, truth=iced, field=field, decisions={}), course, "hand", n) for n in range(30)]
    rows = {r["policy"]: r for r in summary(accounts(started), PLANNER)}
    assert rows[PLANNER]["plugs"] == 16.0 and rows[PLANNER]["trips"] == 3.0
    for name, trips in zip(HABITS, (4.0, 1.0), strict=True):
        assert rows[name]["trips"] == trips
        assert rows[name]["plugs"] == pytest.approx(16.0, abs=0.3), "whole plugs drawn about the mean"
    assert rows[PLANNER]["by_plugs"] >= 0.25
    # four Wednesdays: two trips; plugs of 5 and 20 January, not of 10 February
    assert rows[HALF_THE_TRIPS]["trips"] == 0.5 * rows[WEEKLY]["trips"] == 2.0
    assert rows[HALF_THE_TRIPS]["plugs"] == 10.0


def days_of(first: str, last: str, value: float) -> xr.Dataset:
    day = np.arange(np.datetime64(first), np.datetime64(last) + DAY).astype("datetime64[ns]")
    return xr.Dataset({"swings": (("day", "zone"), np.full((len(day), 1), value))}, coords={"day": day})


def test_days_worked_a_fortnight_ago_replace_neither_what_came_nor_the_forecast() -> None:
    """Every twelfth day of a fortnight the spring was worked from a night before the days that came since."""
    past, ahead = days_of("2001-11-01", "2001-11-27", 1.0), days_of("2001-11-27", "2001-12-07", 2.0)
    whole = joined_ahead(past, ahead, days_of("2001-11-25", "2002-04-10", 3.0), SPRING)
    assert whole["day"].to_numpy()[-1] == np.datetime64(SPRING, "ns")
    assert np.all(np.diff(whole["day"].to_numpy()) == DAY)
    counts = dict(zip(*np.unique(whole["swings"].to_numpy(), return_counts=True), strict=True))
    # 1 to 26 Nov came; 27 Nov to 6 Dec are forecast; the forecast's last, broken day is the spring's
    assert counts == {1.0: 26, 2.0: 10, 3.0: 31 - 6 + 31 + 28 + 31 + 1}
    late = joined_ahead(past, ahead, days_of("2001-11-10", "2001-12-01", 3.0), FIRST)
    assert not np.any(late["swings"] == 3.0)
