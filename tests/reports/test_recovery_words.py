"""A plan in words: units, ranges of days, hours, and what a change would have kept."""

import xml.etree.ElementTree as ElementTree

import pytest

from winterrisk.reports.recovery_bars import zone_bars
from winterrisk.reports.recovery_words import (
    NOTHING,
    amount_words,
    area_words,
    cost_words,
    days_between,
    hours_words,
)
from winterrisk.reports.units import distance_words
from winterrisk.reports.why_words import days_words, effect_words, kept_by_change, kept_words

LAST = "2025-10-27"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (("2025-06-13", "2025-06-22", "2025-06-29"), "13 to 29 Jun, middle 22 Jun"),
        (("2025-05-28", "2025-06-02", "2025-06-29"), "28 May to 29 Jun, middle 2 Jun"),
        (("2025-05-28", "2025-05-28", "2025-05-28"), "about 28 May"),
        (("2025-09-28", None, None), "28 Sep to after 27 Oct, middle after 27 Oct"),
        ((None, None, None), "after 27 Oct in most springs"),
    ],
)
def test_days_are_told_as_ranges(days: tuple[str | None, ...], words: str) -> None:
    assert days_between(dict(zip(("p10", "p50", "p90"), days, strict=True)), LAST) == words


def test_amounts_are_written_as_the_reader_measures() -> None:
    """1 kg is 2.205 lb, 1 m2 is 10.76 ft2."""
    seed = {"unit": "g", "grass": "creeping_bent", "amount": [1000.0, 1500.0, 2000.0]}
    assert amount_words(seed, "metric") == "1.0 to 2.0 kg of creeping bent seed"
    assert amount_words(seed, "us") == "2.2 to 4.4 lb of creeping bent seed"
    sod = {"unit": "m2", "grass": "", "amount": [45.0, 100.0, 189.0]}
    assert amount_words(sod, "metric") == "45 m² to 189 m² of sod"
    assert amount_words(sod, "us") == "480 ft² to 2,030 ft² of sod"
    assert (distance_words(7.6, "metric"), distance_words(7.6, "us")) == ("7.6 m", "25 ft")
    assert amount_words({**sod, "amount": [0.2, 1.0, 91.0]}, "metric") == "up to 91 m² of sod"
    assert (
        amount_words({**seed, "amount": [20.0, 300.0, 700.0]}, "metric")
        == "up to 0.7 kg of creeping bent seed"
    )
    assert amount_words({**seed, "amount": [0.0, 4.0, 10.0], "unit": "plugs"}, "us").startswith(
        "up to 10 cup"
    )


@pytest.mark.parametrize(
    ("hours", "words"),
    [((3.2, 5, 14.1), "3 to 14 h"), ((0.1, 0.2, 0.3), "up to 1 h"), ((2.0, 2, 2.0), "about 2 h")],
)
def test_hours(hours: tuple[float, float, float], words: str) -> None:
    assert hours_words(hours) == words


def test_an_open_course_says_open() -> None:
    days = {"p10": "2025-05-02", "p50": "2025-05-09", "p90": "2025-05-20"}
    area = {
        "area": "4", "kind": "green", "closed": ["4 low"], "unproved": [], "hole_locations": 8,
        "some_days": days, "open": days,
    }  # fmt: skip
    record = {
        "on": "2025-03-14", "opening": "2025-04-28", "last_day": LAST,
        "rules": {"hole_locations": 8, "few_locations": 5},
    }  # fmt: skip
    assert area_words(area, record).endswith("8 wanted: open with the course on 28 Apr")
    assert area_words(area, {**record, "on": "2025-05-01"}).endswith("8 wanted: open")
    fewer = {**area, "hole_locations": 3, "unproved": ["4 low"]}
    told = area_words(fewer, record)
    assert "unless plugs clear 4 low" in told and told.endswith(
        "3 hole locations left of 8 wanted; may open 2 to 20 May, middle 9 May"
    )
    soon = {"p10": "2025-04-25", "p50": "2025-04-27", "p90": "2025-04-29"}
    assert area_words({**fewer, "some_days": soon}, record).endswith(
        "some days, with 5, 25 to 29 Apr, middle 27 Apr; every day 2 to 20 May, middle 9 May"
    )
    assert "unless a survey clears 4 low" in area_words(fewer, {**record, "on": "2025-05-01"})
    assert area_words({**area, "kind": "nursery", "area": "nursery"}, record).startswith(
        "nursery: 4 low closed"
    )
    assert "no hole locations left of 8 wanted" in area_words({**area, "hole_locations": 0}, record)


def test_a_zone_left_to_itself_is_not_told_to_order() -> None:
    cost = {"order": 4000.0, "never": 7000.0, "plugs": 5000.0, "best": "order"}
    zone = {"cost": cost, "source": "survey", "decided": True, "proposed": "wait"}
    assert cost_words(zone, "CAD") == NOTHING
    assert cost_words({**zone, "proposed": "seed"}, "CAD").endswith("ordering now is the cheapest on average")


def test_effects_have_their_sign_and_zero_has_none() -> None:
    assert effect_words({"middle": -0.314, "low": -0.48, "high": 0.001}) == "-31 points (-48 to 0)"
    assert effect_words({"middle": 0.0, "low": -0.001, "high": 0.001}) == "no change"
    assert days_words({"middle": -17.6, "low": -30.0, "high": 0.2}) == "-18 d (-30 to 0)"


def test_turf_kept_adds_up_over_zones_and_ranks() -> None:
    def row(zone: str, change: str, middle: float) -> dict:
        dead = {"low": middle - 0.1, "middle": middle, "high": middle + 0.1}
        return {"zone": zone, "change": change, "dead": dead}

    rows = [row("a", "sun", 0.05), row("a", "drainage", -0.3), row("b", "drainage", -0.2)]
    told = kept_by_change(rows, {"a": 100.0, "b": 50.0})
    assert [t["change"] for t in told] == ["drainage", "sun"]
    assert told[0]["middle"] == pytest.approx(40.0) and told[0]["low"] == pytest.approx(25.0)
    words = [kept_words(t, "metric") for t in told]
    assert words[0] == "better surface drainage, in 2 zones: about 40 m² more alive (25 m² to 55 m²)"
    assert (
        words[1]
        == "more winter sun and open sky, in 1 zone: about 5 m² less alive (from 15 m² less to 5 m² more)"
    )


def test_bars_are_whole_svg_with_names_escaped() -> None:
    days = {"p10": "2025-05-02", "p50": "2025-05-09", "p90": None}
    none = {"p10": None, "p50": None, "p90": None}
    zone = {
        "zone": "4 <low> & wet", "proposed": "seed",
        "options": [
            {"means": "wait", "days": {"work": days, "up": none, "play": days}},
            {"means": "seed", "days": {"work": days, "up": days, "play": none}},
        ],
    }  # fmt: skip
    svg = str(zone_bars(zone, {"on": "2025-03-14", "opening": "2025-04-28"}))
    root = ElementTree.fromstring(svg)
    assert [text.text for text in root.findall("text")][:2] == ["Apr", "May"]
    assert len(root.findall("rect")) == 3 and "&lt;low&gt;" in svg
