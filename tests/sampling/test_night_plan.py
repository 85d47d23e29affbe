"""The plan of a night on outlooks made by hand: worth, restraint, and what a held-back call says."""

import datetime as dt
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk.course import Course, read_course
from winterrisk.sampling import Asked, Call, Plan, Restraint, Stakes, plan
from winterrisk.sampling.restraint import restrained
from winterrisk.sampling.spots import spots
from winterrisk.sampling.worth import snow_look_worth

ON, UNTIL = dt.date(2025, 1, 20), dt.date(2025, 4, 1)
TONIGHT = np.datetime64("2025-01-19")
COURSE = """# Invented course.
[place]
name = "Hand Links"
latitude = 45.0
longitude = -93.0
elevation = 250
timezone = "America/Chicago"
invented = true
[[areas]]
name = "1"
kind = "green"
size = 400
zones = [{name = "low", template = "low spot", share = 0.5}, {name = "ridge", template = "ridge", share = 0.5}]
[station]
file = "none.csv"
name = "none"
latitude = 45.0
longitude = -93.0
elevation = 250
step = "daily"
[crew]
days = ["Mon", "Tue", "Wed", "Thu", "Fri"]
"""


@pytest.fixture
def course(tmp_path: Path) -> Course:
    (tmp_path / "course.toml").write_text(COURSE, encoding="utf-8")
    return read_course(tmp_path)


def night(now: tuple[float, float], later: tuple[float, float], ice: float = 0.5) -> xr.Dataset:
    """Outlook of two zones: members half with ice where ice = 0.5, deaths all among those with ice."""
    days, zones = [TONIGHT, np.datetime64(UNTIL)], ["1 low", "1 ridge"]
    n = 40
    iced = np.arange(n) < round(ice * n)
    expected = np.zeros((2, 2, n, 1), dtype=np.float32)
    for d, chances in enumerate((now, later)):
        for z, chance in enumerate(chances):
            expected[d, z, : round(chance * n), 0] = 1.0
    chance = expected.mean(axis=(2, 3))
    flat = np.stack([chance] * 4, axis=-1)
    by_member = {"ice_thickness_max": 10.0 * iced, "days_under_ice": 40.0 * iced}
    seen = {
        name: (("day", "zone", "member"), np.broadcast_to(value, (2, 2, n)).astype(np.float32))
        for name, value in {
            **by_member, "crown_water": np.zeros(n), "hours_wet_lately": np.zeros(n),
        }.items()
    }  # fmt: skip
    return xr.Dataset(
        {
            "chance": (("day", "zone", "band"), flat),
            "chance_low": (("day", "zone", "band"), 0.5 * flat),
            "chance_high": (("day", "zone", "band"), np.minimum(1.5 * flat, 1.0)),
            "dead_share": (("day", "zone"), chance),
            "expected": (("day", "zone", "member", "draw"), expected),
            "weight": (("zone", "member", "draw"), np.full((2, n, 1), 1.0 / n)),
            "share_by_hazard": (("day", "zone", "hazard"), np.tile([0.2, 0.8], (2, 2, 1))),
            "evidence_until": ("zone", np.array(["NaT", "NaT"], dtype="datetime64[s]")),
            **seen,
        },
        coords={
            "day": days,
            "zone": zones,
            "band": ["trace", "spots", "parts", "most"],
            "hazard": ["cold", "ice"],
        },
        attrs={"survey_precision": 10.0},
    )


def looked(days_ago: int, zone: str = "1 low", kind: str = "ice_seen") -> pd.DataFrame:
    return pd.DataFrame(
        {
            "zone": [zone],
            "area": [zone.split(" ")[0]],
            "kind": [kind],
            "time": [pd.Timestamp(ON) - pd.Timedelta(days=days_ago)],
        }
    )


NOBODY = pd.DataFrame({"zone": [], "area": [], "kind": [], "time": []})
WEATHER = xr.Dataset(
    {"air_temperature": ("time", [0.0])}, coords={"time": [np.datetime64("2025-01-01", "ns")]}
)


def planned(
    course: Course, outlook: xr.Dataset, seen: pd.DataFrame = NOBODY, on: dt.date = ON, **more: object
) -> Plan:
    if on != ON:
        outlook = outlook.assign_coords(day=[np.datetime64(on) - 1, np.datetime64(UNTIL)])
    book = SimpleNamespace(observations=seen, plugs=None)
    return plan(outlook, course, book, Stakes(), WEATHER, on, until=UNTIL, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("where", ["1 low", "1"])
def test_a_look_at_the_zone_or_its_whole_green_lets_plugs_be_called(course: Course, where: str) -> None:
    told = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2, where))
    assert [(call.kind, call.zone) for call in told.calls] == [("pull", "1 low")]
    other = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2, "2"))
    assert [(call.kind, call.zone) for call in other.calls] == [("look", "1 low")], (
        "a look elsewhere is none here"
    )


def test_ice_measured_over_a_plug_is_a_look(course: Course) -> None:
    cut = pd.DataFrame({"zone": ["1 low"], "spot": ["A1"], "cut": [pd.Timestamp(ON) - pd.Timedelta(days=2)]})
    for ice, kind in ((8.0, "pull"), (float("nan"), "look")):
        book = SimpleNamespace(observations=NOBODY, plugs=cut.assign(ice_mm=ice))
        outlook = night((0.3, 0.0), (0.4, 0.0))
        told = plan(outlook, course, book, Stakes(), WEATHER, ON, until=UNTIL)  # type: ignore[arg-type]
        assert [call.kind for call in told.calls] == [kind]


def test_a_look_comes_before_plugs_where_nobody_has_looked(course: Course) -> None:
    told = planned(course, night((0.3, 0.0), (0.4, 0.0)))
    assert [(c.kind, c.zone) for c in told.calls] == [("look", "1 low")]
    (held,) = [c for c in told.held_back if c.kind == "pull"]
    assert "look first" in held.held_because and held.change


def test_after_a_look_plugs_are_called_with_spread_spots_and_a_control(course: Course) -> None:
    told = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2))
    (call,) = told.calls
    assert (call.kind, call.zone, call.by) == ("pull", "1 low", dt.date(2025, 1, 20))
    assert len(set(call.spots)) == call.number >= 3
    assert len({spot.split(" third")[0] for spot in call.spots}) == 3
    assert "1 ridge" in call.control and call.worth > 0 and call.change


def test_nothing_is_called_where_nothing_is_at_stake(course: Course) -> None:
    told = planned(course, night((0.0, 0.0), (0.0, 0.0)))
    assert told.calls == told.held_back == told.looks_wanted == ()


def test_certain_harm_is_shown_by_plugs_once(course: Course) -> None:
    outlook = night((1.0, 0.0), (1.0, 0.0))
    (call,) = planned(course, outlook, looked(2)).calls
    assert call.kind == "pull" and call.number >= 3
    outlook["evidence_until"] = ("zone", np.array(["2025-01-19", "NaT"], dtype="datetime64[s]"))
    told = planned(course, outlook, looked(2))
    assert told.calls == ()
    assert "still speak" in told.held_back[0].held_because


def test_plugs_wait_for_the_harm_that_is_to_come(course: Course) -> None:
    outlook = night((0.2, 0.0), (0.6, 0.0))
    soon = outlook.isel(day=1).assign_coords(day=TONIGHT + 5)
    three = xr.concat([outlook.isel(day=0), soon, outlook.isel(day=1)], "day", data_vars="minimal")
    three["weight"] = outlook["weight"]
    three["evidence_until"] = outlook["evidence_until"]
    told = planned(course, three, looked(2))
    assert all(c.kind != "pull" for c in told.calls)
    assert any("24 Jan" in c.held_because for c in told.held_back)


def test_an_unanswered_call_stands_then_rests_until_the_odds_rise_by_half(course: Course) -> None:
    first = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2))
    asked = first.restraint
    assert asked.messages == 1 and asked.asked["1 low"].kind == "pull"
    next_day = planned(
        course, night((0.3, 0.0), (0.4, 0.0)), looked(2), ON + dt.timedelta(days=1), restraint=asked
    )
    assert [c.since for c in next_day.calls] == [ON] and next_day.restraint.messages == 1
    week = ON + dt.timedelta(days=7)
    later = planned(course, night((0.325, 0.0), (0.4, 0.0)), looked(2), week, restraint=asked)
    assert later.calls == () and "not answered" in later.held_back[0].held_because
    assert "39%" in later.held_back[0].held_because  # odds .3/.7 by half more: .643, a chance of .391
    risen = planned(course, night((0.4, 0.0), (0.4, 0.0)), looked(2), week, restraint=asked)
    assert [c.since for c in risen.calls] == [week] and risen.restraint.messages == 2


def test_a_standing_pull_does_not_turn_into_a_look(course: Course) -> None:
    asked = Restraint(1, {"1 low": Asked("pull", ON, ON, 0.3)})
    tomorrow = ON + dt.timedelta(days=1)
    told = planned(course, night((0.3, 0.0), (0.4, 0.0)), NOBODY, tomorrow, restraint=asked)
    assert [(c.kind, c.since) for c in told.calls] == [("pull", ON)]
    free = planned(
        course, night((0.3, 0.0), (0.4, 0.0)), NOBODY, tomorrow, restraint=asked, answered={"1 low"}
    )
    assert [c.kind for c in free.calls] == ["look"]


def test_a_message_must_be_worth_its_price(course: Course) -> None:
    spent = Restraint(14, {})
    told = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2), restraint=spent)
    assert told.calls == () and "were sent" in told.held_back[0].held_because
    dear = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2), restraint=Restraint(11, {}))
    cheap = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2), restraint=Restraint(0, {}))
    assert dear.price > 3 * cheap.price > 0


def test_after_fourteen_messages_only_what_saves_a_green_goes_out(course: Course) -> None:
    told = planned(course, night((0.3, 0.0), (0.4, 0.0)), looked(2), restraint=Restraint(14, {}))
    assert told.price == Stakes().loss_unprepared - Stakes().loss_prepared
    assert told.calls == () and "14 were sent" in told.held_back[0].held_because
    (worth,) = {call.worth for call in told.held_back[:1]}
    assert 0.0 < worth < told.price
    best = replace(told.held_back[0], worth=told.price + 100.0, held_because="")
    sent = restrained([best], [], Restraint(14, {}), ON, told.price, (4, 3))
    assert [call.zone for call in sent.calls] == [best.zone], "what is worth a green is not kept silent"


def test_what_restrains_survives_the_night_record() -> None:
    kept = Restraint(3, {"1 low": Asked("pull", ON, ON, 0.3)})
    assert Restraint.of_record(kept.to_record()) == kept
    assert Restraint.of_record(None) == Restraint()


def test_no_spot_comes_twice_in_a_winter() -> None:
    first = spots(6)
    assert not set(first) & set(spots(6, first)) and len(set(spots(36))) == 36


def caused_by(outlook: xr.Dataset, hazard: str) -> xr.Dataset:
    """The same outlook with all harm by one hazard."""
    return outlook.assign_coords(hazard=[hazard, "background"]).assign(
        share_by_hazard=(("day", "zone", "hazard"), np.tile([1.0, 0.0], (2, 2, 1)))
    )


def test_plugs_for_dry_cold_wait_until_an_order_hangs_on_them(course: Course) -> None:
    """Seed is ordered on 1 March, a verdict takes eight days: plugs are cut from 14 to 21 February."""
    dry = caused_by(night((0.4, 0.0), (0.5, 0.0), ice=0.0), "cold")
    early = planned(course, dry, looked(2))
    assert early.calls == () and "nothing is ordered before 1 Mar" in early.held_back[0].held_because
    wet = caused_by(night((0.4, 0.0), (0.5, 0.0), ice=0.0), "wet_freeze")
    assert [c.kind for c in planned(course, wet, looked(2)).calls] == ["pull"]
    soon = dt.date(2025, 2, 14)
    assert [c.kind for c in planned(course, dry, looked(-25), soon).calls] == ["pull"]
    late = dt.date(2025, 3, 18)
    told = planned(course, dry, looked(-57), late)
    assert told.calls == () and "last day for seed or sod is past" in told.held_back[0].held_because
    assert [c.kind for c in planned(course, wet, looked(-57), late).calls] == ["pull"]


@pytest.mark.parametrize("cause", ["cold", "swings"])
@pytest.mark.parametrize("chance", [0.4, 1.0])
def test_after_a_frost_one_asks_for_the_snow_first(course: Course, cause: str, chance: float) -> None:
    """However likely: weather alone does not tell of a finger of snow."""
    on, frost = dt.date(2025, 2, 14), dt.date(2025, 2, 10)
    bare = caused_by(night((chance, 0.0), (chance, 0.0), ice=0.0), cause)
    bare["frost_night"] = (("day", "zone"), np.full((2, 2), np.datetime64(frost, "s")))
    told = planned(course, bare, on=on)
    (asked,) = told.calls
    assert (asked.kind, asked.zone) == ("look", "1 low") and "snow" in asked.change and asked.worth > 0.0
    assert "frost in the night to 10 Feb" in asked.reason and "did snow lie on it on 9 Feb?" in asked.reason
    assert "lay bare: look first" in next(c for c in told.held_back if c.kind == "pull").held_because
    for kind, at, calls in (
        ("snow_depth_seen", frost, {"pull"}),
        ("no_ice", on, {"pull"}),
        ("crown_temperature_seen", frost - dt.timedelta(days=2), {"pull"}),
        ("snow_depth_seen", frost - dt.timedelta(days=3), {"look"}),
        ("packed", frost, {"look"}),
    ):
        told = planned(course, bare, looked((ON - at).days, kind=kind), on)
        assert {c.kind for c in told.calls} == calls, (kind, at)


def test_a_look_before_a_frost_does_not_answer_for_it_and_plugs_cut_since_do(course: Course) -> None:
    on, frost = dt.date(2025, 2, 14), dt.date(2025, 2, 12)
    bare = caused_by(night((0.6, 0.0), (0.6, 0.0), ice=0.0), "cold")
    bare["frost_night"] = (("day", "zone"), np.full((2, 2), np.datetime64(frost, "s")))
    told = planned(course, bare, looked((ON - on).days + 5, kind="no_ice"), on)
    assert [c.kind for c in told.calls] == ["look"], "looked at five days ago, three before the frost"
    cut = pd.DataFrame({"zone": ["1 low"], "spot": ["A1"], "cut": [pd.Timestamp(frost)], "ice_mm": [np.nan]})
    outlook = bare.assign_coords(day=[np.datetime64(on) - 1, np.datetime64(UNTIL)])
    book = SimpleNamespace(observations=NOBODY, plugs=cut)
    told = plan(outlook, course, book, Stakes(), WEATHER, on, until=UNTIL)  # type: ignore[arg-type]
    assert all("lay bare" not in c.held_because for c in told.held_back) and told.calls[0].kind == "pull"


def test_what_asking_for_the_snow_is_worth_by_hand() -> None:
    """One in four that snow lay: it takes the chance from 0.6 to 0; order 4,000, losses 25,200 and 10,800."""
    # before: 0.45, order: 4000 + 0.45 * 10800 = 8860; after: 0.75 * (4000 + 0.6 * 10800) + 0.25 * 0 = 7860
    # board: before min(0.45 * 6000, 4000) = 2700; after 0.75 * min(3600, 4000) = 2700
    assert snow_look_worth(0.6, 1.0, Stakes()) == pytest.approx(1000.0)
    assert snow_look_worth(0.6, 0.0, Stakes()) == pytest.approx(0.0)
    assert snow_look_worth(0.1, 1.0, Stakes()) == pytest.approx(0.0), "nobody orders either way"


def test_no_plugs_for_what_is_seen_by_eye(course: Course) -> None:
    for cause, seen in (("snow_mould_pink", "patches"), ("spring_frost", "bleaches its leaves")):
        told = planned(course, caused_by(night((0.4, 0.0), (0.5, 0.0)), cause), looked(2))
        assert all(c.kind != "pull" for c in told.calls)
        assert seen in next(c for c in told.held_back if c.kind == "pull").held_because
    growing = night((0.4, 0.0), (0.5, 0.0))
    growing["growing"] = (("day", "zone"), np.full((2, 2), 0.9))
    told = planned(course, growing, looked(2))
    assert all(c.kind != "pull" for c in told.calls)
    assert "the grass grows" in next(c for c in told.held_back if c.kind == "pull").held_because


def pull(zone: str, worth: float) -> Call:
    return Call("pull", zone, "1", ON, 3, (), "ice", 0.4, 0.3, 0.5, "parts", ON, worth=worth, minutes=34)


def test_standing_calls_count_towards_those_of_one_round() -> None:
    zones = ("1 a", "1 b", "1 c", "1 d")
    before = Restraint(1, {z: Asked("pull", ON, ON, 0.4) for z in zones[:2]})
    told = restrained([pull(z, 500.0) for z in zones], [], before, ON + dt.timedelta(days=1), 1.0, (4, 3))
    assert len(told.calls) == 3 and [c.zone for c in told.calls if c.since != ON] == ["1 c"]
    assert "come next" in next(c for c in told.held_back if c.zone == "1 d").held_because


def test_plugs_that_do_not_pay_the_way_out_hold_no_look_back() -> None:
    look = replace(pull("1 a", 90.0), kind="look", minutes=5)
    told = restrained([look, pull("1 b", 20.0)], [], Restraint(), ON, 1.0, (4, 3), 60.0)
    assert [c.kind for c in told.calls] == ["look"]
    assert "going out for plugs costs 60" in told.held_back[0].held_because
    told = restrained([look, pull("1 b", 20.0)], [], Restraint(), ON, 1.0, (4, 3), 60.0, currency="CAD")
    assert "going out for plugs costs CAD 60" in told.held_back[0].held_because


def test_plugs_not_answered_are_asked_for_once_more_while_a_verdict_is_in_time() -> None:
    before = Restraint(1, {"1 a": Asked("pull", ON, ON, 0.4)})
    last = ON + dt.timedelta(days=10)
    early = restrained([pull("1 a", 500.0)], [], before, last - dt.timedelta(days=1), 1.0, (4, 3), 60.0, last)
    assert early.calls == () and "not answered" in early.held_back[0].held_because
    once = restrained([pull("1 a", 500.0)], [], before, last, 1.0, (4, 3), 60.0, last)
    assert [c.since for c in once.calls] == [last]
    later = last + dt.timedelta(days=5)
    assert restrained([pull("1 a", 500.0)], [], once.restraint, later, 1.0, (4, 3), 60.0, last).calls == ()
