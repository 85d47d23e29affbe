"""Verdicts: three states and void, the due date, and words that do not promise."""

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from winterrisk.plugs import STATES, Batch, Look, Plug, dead_chance, green_by, verdict
from winterrisk.thresholds import Thresholds

Build = Callable[..., list[Look]]
Day = Callable[[float], np.datetime64]
COOL = Batch("B1", np.datetime64("2025-01-10T08:00:00"), "sill", 12.0, 9.0, 3.0)


def one(table: pd.DataFrame) -> pd.Series:
    assert len(table) == 1
    return table.iloc[0]


def test_a_green_plug_is_alive(plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day) -> None:
    seen = looks("P1", {3: 0.0, 5: 0.1, 7: 0.4})
    row = one(verdict([plug()], seen, batch=batch, priors=0.2, on=day(7.1)))
    assert row["state"] == "alive" and row["chance_dead"] < 0.05 and pd.isna(row["due"])
    assert row["words"] == "alive: green from day 5, up to 40% new growth"


def test_day_four_on_a_cold_sill_is_too_early_with_a_date(
    plug: Callable[..., Plug], looks: Build, day: Day
) -> None:
    row = one(verdict([plug()], looks("P1", {4: 0.0}), batch=COOL, priors=0.2, on=day(4.1)))
    assert row["state"] == "too early to say"
    assert row["chance_dead"] == pytest.approx(0.2, abs=0.02)
    assert pd.Timestamp("2025-02-01") < row["due"] < pd.Timestamp("2025-03-15")
    assert f"{row['due'].day} {row['due']:%b}" in row["words"]


def test_one_brown_plug_of_a_low_prior_is_never_called_dead(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    """Reference: fp .03 and fn .05 limit P(dead) to .8291 at q = .2, however long one waits."""
    cut = [plug(), plug("C", control=True)]
    seen = looks("P1", {40: 0.0}) + looks("C", {5: 0.3, 7: 0.8})
    row = verdict(cut, seen, batch=batch, priors=0.2, on=day(41)).iloc[0]
    assert row["state"] == "too early to say" and row["too_few"]
    assert 0.79 < row["chance_dead"] <= 0.8291 + 1e-9
    assert (
        row["words"] == "cannot be called dead from one plug: no new growth by day 40 in the warm; pull more"
    )


def test_several_brown_plugs_of_a_zone_are_called_dead_together_on_their_day(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    cut = [plug(f"P{i}") for i in range(4)] + [plug("C", control=True)]
    control = looks("C", {5: 0.3, 7: 0.8})

    def judged(last: float) -> pd.DataFrame:
        seen = control + [look for p in cut[:4] for look in looks(p.id, {7: 0.0, last: 0.0})]
        return verdict(cut, seen, batch=batch, priors=0.3, on=day(last + 0.1)).iloc[:4]

    early = judged(10)
    assert set(early["state"]) == {"too early to say"} and not early["too_few"].any()
    due = early["due"].iloc[0]
    days = (due - pd.Timestamp(batch.warm_from)) / pd.Timedelta("1D")
    assert 12 < days < 40
    assert set(judged(days - 0.5)["state"]) == {"too early to say"}
    assert set(judged(days + 0.5)["state"]) == {"dead"}


def test_without_controls_one_plug_is_the_textbook_chance(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    """q / [q (1-fp) ...] with the prior of a failed batch (.05) left in, own reference form."""
    values = {**Thresholds.defaults().values, "plug_slip": 0.0, "plug_batch_failure": 1e-12}
    row = one(verdict([plug()], looks("P1", {10: 0.0}), batch=batch, priors=0.5, on=day(10.1), values=values))
    brown = 1 - float(
        0.5 * (green_by(150.0, "annual_bluegrass", values) + green_by(150.0, "creeping_bent", values))
    )
    assert row["chance_dead"] == pytest.approx(float(dead_chance(0.5, brown, 0.03, 0.05)), abs=1e-6)


def test_a_dead_control_voids_the_batch(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    cut = [plug(), plug("C", control=True)]
    seen = looks("P1", {14: 0.0}) + looks("C", {7: 0.0, 14: 0.0})
    table = verdict(cut, seen, batch=batch, priors=0.2, on=day(15))
    assert set(table["state"]) == {"void"}
    assert table["chance_dead"].iloc[0] == pytest.approx(0.2)
    assert table["words"].iloc[0] == "void: its control stayed brown; it proves nothing, cut again"
    early = verdict(cut, seen, batch=batch, priors=0.2, on=day(8))
    assert set(early["state"]) == {"too early to say"}


def test_a_control_on_a_cold_sill_is_not_dead_at_two_weeks(
    plug: Callable[..., Plug], looks: Build, day: Day
) -> None:
    cut = [plug(), plug("C", control=True)]
    seen = looks("P1", {14: 0.0}) + looks("C", {7: 0.0, 14: 0.0})
    assert set(verdict(cut, seen, batch=COOL, priors=0.2, on=day(15))["state"]) == {"too early to say"}


def test_a_batch_thrown_out_by_hand_is_void(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    out = Batch(batch.id, batch.warm_from, "sill", 20.0, void=True)
    assert one(verdict([plug()], looks("P1", {7: 0.6}), batch=out, priors=0.2, on=day(8)))["state"] == "void"


def test_bent_cut_above_the_crowns_is_not_called(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    cut = [plug(f"P{i}", crowns="no") for i in range(5)] + [plug("C", control=True)]
    seen = looks("C", {5: 0.3, 7: 0.8}) + [
        x for p in cut[:5] for x in looks(p.id, {30: 0.0}, "creeping_bent")
    ]
    table = verdict(cut, seen, batch=batch, priors=0.3, on=day(31)).iloc[:5]
    assert set(table["state"]) == {"too early to say"}
    assert (table["chance_dead"] <= 0.3).all()
    assert table["words"].iloc[0].startswith("creeping bent: cut above the crowns")


def test_one_look_written_down_wrong_is_told_by_the_next(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    seen = looks("P1", {5: 0.0, 7: 0.3})
    first = one(verdict([plug()], seen, batch=batch, priors=0.6, on=day(7.1)))
    assert first["state"] == "too early to say" and "look again" in first["words"]
    grown = one(verdict([plug()], seen + looks("P1", {9: 0.5}), batch=batch, priors=0.6, on=day(9.1)))
    brown = one(
        verdict([plug()], seen + looks("P1", {9: 0.0, 12: 0.0}), batch=batch, priors=0.6, on=day(12.1))
    )
    assert grown["state"] == "alive" and brown["chance_dead"] > 0.4


def test_later_looks_and_plugs_are_not_known_yet(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    cut = [plug(), plug("P2", cut=day(5))]
    table = verdict(cut, looks("P1", {7: 0.6}), batch=batch, priors=0.2, on=day(3))
    assert list(table["plug"]) == ["P1"] and table["looks"].iloc[0] == 0


def test_the_colder_the_room_the_later_the_due_date(
    plug: Callable[..., Plug], looks: Build, day: Day
) -> None:
    due = []
    for temperature in (22.0, 18.0, 14.0, 10.0):
        room = Batch("B1", np.datetime64("2025-01-10T08:00:00"), "sill", temperature, 9.0, 3.0)
        due.append(one(verdict([plug()], looks("P1", {3: 0.0}), batch=room, priors=0.5, on=day(3.1)))["due"])
    assert due == sorted(due) and len(set(due)) == 4


def test_a_room_below_the_base_is_said_to_be_too_cold(
    plug: Callable[..., Plug], looks: Build, day: Day
) -> None:
    room = Batch("B1", np.datetime64("2025-01-10T08:00:00"), "sill", 4.0)
    row = one(verdict([plug()], looks("P1", {20: 0.0}), batch=room, priors=0.5, on=day(21)))
    assert row["state"] == "too early to say" and "too cold" in row["words"] and pd.isna(row["due"])


def test_chance_of_dead_never_falls_while_a_plug_stays_brown(
    plug: Callable[..., Plug], looks: Build, batch: Batch, day: Day
) -> None:
    chances = [
        one(verdict([plug()], looks("P1", {last: 0.0}), batch=batch, priors=0.3, on=day(41)))["chance_dead"]
        for last in (2, 5, 8, 12, 20, 40)
    ]
    assert chances == sorted(chances)


def test_no_plugs_is_an_empty_table_with_its_columns(batch: Batch, day: Day) -> None:
    table = verdict([], [], batch=batch, priors=0.2, on=day(1))
    assert (
        len(table) == 0 and "words" in table and set(STATES) == {"alive", "too early to say", "dead", "void"}
    )
