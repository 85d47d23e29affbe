"""What a note says of the plan: work to come, zones without proof, an old survey, greens in the course's order."""

import datetime as dt
from pathlib import Path

import pytest

from winterrisk.course import read_course
from winterrisk.reports.note_board import board_note
from winterrisk.reports.note_facts import NoteFacts
from winterrisk.reports.note_gate import days_alone
from winterrisk.reports.note_member import member_note
from winterrisk.reports.recovery_words import survey_line

COURSE = read_course(Path(__file__).parents[2] / "sample_weather" / "ostermoor")
ON = dt.date(2025, 3, 14)


def days(first: str, last: str) -> dict[str, str]:
    return {"p10": first, "p50": first, "p90": last}


def zone_row(zone: str, means: str = "sod", work: str = "2025-04-17", **more: object) -> dict:
    option = {
        "means": means, "grass": "", "unit": "" if means == "wait" else "m2", "amount": [10.0, 20.0, 30.0],
        "order_by": None if means == "wait" else "2025-03-20", "hours": [1.0, 2.0, 3.0],
        "days": {"work": days(work, work), "play": days("2025-05-08", "2025-05-31")},
    }  # fmt: skip
    return {
        "zone": zone, "area": COURSE.zone(zone).area, "source": "plugs", "day": "2025-02-27", "proposed": means,
        "chance": {"low": 0.5, "middle": 0.6, "high": 0.7}, "decided": True, "options": [option],
        "cost": {"order": 1000.0, "never": 2000.0, "plugs": 1500.0, "best": "order"}, **more,
    }  # fmt: skip


def plan(*zones: dict, on: dt.date = ON) -> dict:
    areas = [
        {"area": a, "kind": "green", "closed": [z["zone"] for z in zones if z["area"] == a], "hole_locations": 0,
         "some_days": days("2025-05-08", "2025-05-31"), "open": days("2025-05-08", "2025-05-31")}
        for a in dict.fromkeys(z["area"] for z in zones)
    ]  # fmt: skip
    return {
        "on": on.isoformat(), "units": "metric", "currency": "CAD", "zones": list(zones), "unsure": [], "areas": areas,
        "people": 2, "springs": 4, "cannot_say": "", "last_day": "2025-10-27",
        "rules": {"hole_locations": 8, "few_locations": 5, "distance_m": 7.6, "cover": 0.9},
    }  # fmt: skip


def facts(*failed: str, on: dt.date = ON) -> NoteFacts:
    rounds = tuple({"zone": z, "state": "dead", "words": "of 3 plugs: 3 dead"} for z in failed)
    return NoteFacts(COURSE, on, "2024-25", 9, 20, 0, rounds, (), {}, None)


@pytest.mark.parametrize(
    ("means", "work", "words"),
    [
        ("sod", "2025-04-17", "We seed or sod the thin spots as the soil warms."),
        ("sod", "2025-03-14", "We seed or sod the thin spots now that the soil is warm."),
        ("wait", "2025-03-14", "The thin spots close by themselves as it warms."),
    ],
)
def test_members_hear_of_the_work_that_is_proposed(means: str, work: str, words: str) -> None:
    assert words in member_note(facts("4 low"), plan(zone_row("4 low", means, work)))


def test_greens_stand_in_the_order_of_the_course() -> None:
    rows = [zone_row(zone) for zone in ("9 low", "4 low", "6 drain")]
    text = member_note(facts("9 low", "4 low", "6 drain"), plan(*rows))
    assert "Some plugs from greens 4, 6 and 9" in text
    assert text.index("green 4 between") < text.index("green 6 between") < text.index("green 9 between")


def test_the_board_hears_of_orders_that_pay_without_proof_and_of_zones_to_prove() -> None:
    rows = [zone_row("4 low"), zone_row("4 dam"), zone_row("1 low", decided=False), zone_row("2 low", "wait")]
    text = board_note(facts("4 low"), plan(*rows))
    assert "that ordering now is cheaper on average: 4 dam (10 m² to 30 m² of sod)." in text
    assert "2 more zones may need seed or sod: plugs first, then the order." in text
    assert "| 4 low |" in text and "| 4 dam |" not in text
    alone = board_note(facts("4 low"), plan(zone_row("4 low")))
    assert "Not shown" not in alone and "plugs first" not in alone


def test_where_waiting_may_do_no_second_step_is_named() -> None:
    text = board_note(facts("4 low"), plan(zone_row("4 low", "wait", decided=False)))
    assert "| plugs first; waiting may do |" in text


@pytest.mark.parametrize(("day", "told"), [("2025-06-06", ""), ("2025-05-12", "the survey is 39 days old")])
def test_an_old_survey_is_told_with_what_to_do(day: str, told: str) -> None:
    on = dt.date(2025, 6, 20)
    record = plan(zone_row("4 low", source="survey", day=day), on=on)
    line = survey_line(record)
    assert line.startswith(told) and bool(line) == bool(told) and ("survey again" in line) == bool(told)
    text = board_note(facts("4 low", on=on), record)
    assert ("39 days old" in text) == bool(told) and days_alone(text) == ()
