"""Notes: no word of loss without a plug or survey behind it, no day alone, whatever the night and the book say."""

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from winterrisk.course import read_course
from winterrisk.reports.note_board import board_note
from winterrisk.reports.note_facts import NoteFacts
from winterrisk.reports.note_gate import days_alone, masked, words_of_loss
from winterrisk.reports.note_member import MOST_WORDS, member_note
from winterrisk.reports.season_damage import area_damage

COURSE = read_course(Path(__file__).parents[2] / "sample_weather" / "ostermoor")
ZONES = COURSE.zone_labels()
MEANS = ("wait", "plugs", "seed", "seed under a cover", "sod")

dates = st.dates(dt.date(2024, 11, 1), dt.date(2025, 6, 29))
shares = st.floats(0.0, 1.0)
iso = st.one_of(st.none(), dates.map(dt.date.isoformat))


@st.composite
def ranges(draw: st.DrawFn) -> dict[str, str | None]:
    days = sorted(draw(st.lists(dates, min_size=3, max_size=3)))
    told: list[str | None] = [d.isoformat() for d in days]
    cut = draw(st.integers(0, 3))
    told[cut:] = [None] * (3 - cut)
    return dict(zip(("p10", "p50", "p90"), told, strict=True))


@st.composite
def zone_rows(draw: st.DrawFn, zone: str) -> dict:
    low, middle, high = sorted(draw(st.lists(shares, min_size=3, max_size=3)))
    options = [
        {
            "means": means, "grass": "creeping_bent" if "seed" in means else "",
            "unit": {"wait": "", "plugs": "plugs", "sod": "m2"}.get(means, "g"),
            "amount": [low * 100, middle * 100, high * 100], "order_by": draw(iso), "hours": [low, middle, high],
            "days": {n: draw(ranges()) for n in ("work", "up", "play")},
        }
        for means in MEANS
    ]  # fmt: skip
    return {
        "zone": zone, "area": COURSE.zone(zone).area, "source": draw(st.sampled_from(("survey", "plugs", "outlook"))),
        "day": draw(dates).isoformat(), "dead": {"low": low, "middle": middle, "high": high},
        "chance": {"low": low, "middle": middle, "high": high}, "proposed": draw(st.sampled_from(MEANS)),
        "decided": draw(st.booleans()),
        "cost": {"order": 1e4 * low, "never": 1e4 * middle, "plugs": 1e4 * high,
                 "best": draw(st.sampled_from(("order", "never", "plugs")))},
        "options": options,
    }  # fmt: skip


@st.composite
def plans(draw: st.DrawFn, on: dt.date) -> dict:
    zones = draw(st.lists(st.sampled_from(ZONES), unique=True, max_size=8))
    rows = [draw(zone_rows(zone)) for zone in zones]
    areas = [
        {"area": a, "kind": COURSE.area(a).kind, "closed": [z for z in zones if COURSE.zone(z).area == a],
         "hole_locations": draw(st.integers(0, 20)), "some_days": draw(ranges()), "open": draw(ranges())}
        for a in dict.fromkeys(COURSE.zone(z).area for z in zones)
    ]  # fmt: skip
    return {
        "on": on.isoformat(), "units": draw(st.sampled_from(("metric", "us"))), "currency": "CAD", "zones": rows,
        "unsure": rows[:1], "areas": areas, "hours": [1, 2, 3], "workdays": 1, "people": 2, "springs": 4,
        "cannot_say": "", "last_day": "2025-10-27",
        "rules": {"hole_locations": 8, "few_locations": 5, "distance_m": 7.6, "cover": 0.9},
    }  # fmt: skip


def round_of(zone: str, state: str) -> dict:
    return {"zone": zone, "state": state, "number": 3, "controls": 0, "words": f"of 3 plugs: 3 {state}"}


@st.composite
def known(draw: st.DrawFn, *, evidence: bool) -> NoteFacts:
    zones = draw(st.lists(st.sampled_from(ZONES), unique=True, min_size=1, max_size=5))
    alive = tuple(round_of(z, "alive") for z in draw(st.lists(st.sampled_from(ZONES), max_size=4)))
    failed = tuple(round_of(z, "likely dead") for z in zones) if evidence else ()
    surveyed: dict[str, dict] = {}
    if draw(st.booleans()):
        low = 0.3 if evidence else 0.0
        surveyed = {z: {"low": low, "high": low + 0.1, "date": "2025-05-12", "cause": "ice"} for z in zones}
    views = [{"zone": z, "size_m2": 100.0, "survey": surveyed.get(z)} for z in ZONES]
    return NoteFacts(
        COURSE, draw(dates), "2024-25", looks=draw(st.integers(0, 60)), plugs=draw(st.integers(0, 90)),
        growing=draw(st.integers(0, 20)), failed=failed, thrived=alive, surveyed=surveyed,
        damage=area_damage(views) if surveyed else None,
    )  # fmt: skip


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_no_night_yields_words_of_loss_without_evidence(data: st.DataObject) -> None:
    facts = data.draw(known(evidence=False))
    assert facts.evidence == ()
    plan = data.draw(plans(facts.on))
    for text in (member_note(facts, None), member_note(facts, plan), board_note(facts, plan)):
        assert words_of_loss(text, facts.names) == ()
        assert days_alone(text) == ()


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_with_evidence_loss_is_told_and_days_stay_ranges(data: st.DataObject) -> None:
    facts = data.draw(known(evidence=True))
    assert facts.evidence
    plan = data.draw(plans(facts.on))
    for text in (member_note(facts, plan), board_note(facts, plan)):
        assert words_of_loss(text, facts.names)
        assert days_alone(text) == ()
    member = member_note(facts, plan)
    assert len(member.split()) <= MOST_WORDS


def test_the_shortest_and_the_fullest_member_note_keep_to_150_words() -> None:
    for text in (member_note(facts_with(), None), member_note(facts_with(growing=3, plugs=12), None)):
        assert 20 < len(text.split()) <= MOST_WORDS


def facts_with(**more: object) -> NoteFacts:
    base = {"looks": 4, "plugs": 0, "growing": 0, "failed": (), "thrived": (), "surveyed": {}, "damage": None}
    return NoteFacts(COURSE, dt.date(2025, 3, 1), "2024-25", **(base | more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "text",
    [
        "Green 4 is dead.", "We lost the low spots", "the turf was killed", "winter kill", "Winterkill on 4",
        "damage on 7", "losses of a third", "injured crowns", "it died", "plants are dying", "a loss",
    ],
)  # fmt: skip
def test_words_of_loss_are_known(text: str) -> None:
    assert words_of_loss(text)


@pytest.mark.parametrize(
    "text", ["alive and green", "a deadline for the order", "blossom", "studied", "skills", "closed to play"]
)
def test_words_that_only_look_like_it_pass(text: str) -> None:
    assert words_of_loss(text) == ()


def test_a_name_is_no_word_of_loss() -> None:
    assert words_of_loss("Green Dead Oak is open", ("Dead Oak",)) == ()
    assert words_of_loss("Dead Oak is dead", ("Dead Oak",)) == ("dead",)
    assert masked("4 low and 4 lower", ("4 low",)) == "~ and 4 lower"


def test_a_day_alone_is_found_and_a_range_passes() -> None:
    assert days_alone("open on 12 May") == ("12 May",)
    assert days_alone("open 2025-05-12") == ("2025-05-12",)
    assert days_alone("between 6 and 31 May; between 28 Apr and 3 June; after 27 Oct") == ()


@pytest.mark.parametrize(
    ("high", "words"),
    [
        (0.0, "found all of the turf"),
        (0.005, "found at least 99 % of the turf"),
        (0.08, "found at least 92 %"),
    ],
)
def test_a_survey_without_loss_is_told_and_no_longer_too_early(high: float, words: str) -> None:
    surveyed = {zone: {"low": 0.0, "high": high, "date": "2025-05-12", "cause": "unknown"} for zone in ZONES}
    views = [{"zone": z, "size_m2": 100.0, "survey": surveyed[z]} for z in ZONES]
    facts = facts_with(surveyed=surveyed, damage=area_damage(views))
    plan = {"zones": [], "areas": [], "unsure": [], "cannot_say": "", "rules": {"hole_locations": 8, "distance_m": 7.6,
            "cover": 0.9}, "springs": 4, "last_day": "2025-10-27", "units": "us"}  # fmt: skip
    for text in (member_note(facts, None), board_note(facts, plan)):
        assert words in text and "on the greens surveyed alive" in text
        assert "too early" not in text and words_of_loss(text, facts.names) == ()


def test_a_survey_that_may_be_nothing_is_no_evidence() -> None:
    mild = facts_with(surveyed={"4 low": {"low": 0.0, "high": 0.005}})
    worse = facts_with(surveyed={"4 low": {"low": 0.005, "high": 0.05}})
    assert mild.evidence == () and worse.evidence == ("4 low",)
    assert worse.areas == ("4",)
