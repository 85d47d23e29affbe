"""What a winter cost: hand-worked days and money; the worked example is that of a course file left as it comes."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from winterrisk.course import Course, read_course
from winterrisk.recovery.damage import ZoneDamage
from winterrisk.recovery.plan import AreaPlan, Plan
from winterrisk.recovery.spread_of_days import DayRange
from winterrisk.reports.season_cost import cost_record
from winterrisk.reports.season_cost_words import cost_lines

D = dt.date
PLUGS = [
    {"cut": "2025-02-27", "number": 6},
    {"cut": "2025-02-27", "number": 4},
    {"cut": "2025-03-04", "number": 2},
]


@pytest.fixture
def course(sample: Path) -> Course:
    return read_course(sample)


def shut(area: str, whole: DayRange, *, locations: int = 0, kind: str = "green") -> AreaPlan:
    return AreaPlan(area, kind, 600.0, (f"{area} low",), (), locations, whole, whole)


def plan(*areas: AreaPlan) -> Plan:
    nobody: tuple[ZoneDamage, ...] = ()
    return Plan(D(2025, 5, 13), (), nobody, areas, (0.0, 0.0, 0.0), 0, 9, D(2025, 10, 27))


def test_days_before_the_ground_was_fit_belong_to_the_weather(course: Course) -> None:
    # opening 28 April, fit 4 May: 6 days x 1,800; green 4 open 24 May: 20 days after that, not 26
    june = DayRange(D(2025, 5, 20), D(2025, 5, 24), D(2025, 6, 3))
    cost = cost_record(course, "2024-25", fit_from=D(2025, 5, 4), plan=plan(shut("4", june)), plugs=PLUGS)
    assert (cost["weather_days"], cost["weather_money"]) == (6, 10800.0)
    assert cost["greens"][0]["days"] == [16, 20, 30] and cost["green_days"] == [16, 20, 30]
    # by the course file a closed green costs 10,800 with repair ordered and 25,200 without
    assert cost["damage_money"] == [10800.0, 25200.0]
    # two trips at 60 and twelve plugs at 20
    assert cost["plug_money"] == 360.0
    weather, damage = cost_lines(cost)
    assert "6 days, CAD 10,800 at CAD 1,800 a day" in weather and "until Sun 4 May 2025" in weather
    assert (
        "20 green-days (16 to 30) on 1 green" in damage and "CAD 10,800" in damage and "CAD 25,200" in damage
    )


def test_green_days_add_up_and_greens_with_holes_left_are_not_shut(course: Course) -> None:
    may, june = (DayRange(*(D(2025, month, day) for day in (1, 8, 20))) for month in (5, 6))
    areas = (
        shut("4", june), shut("7", may), shut("1", june, locations=8), shut("nursery", june, kind="nursery"),
    )  # fmt: skip
    cost = cost_record(course, "2024-25", fit_from=D(2025, 4, 28), plan=plan(*areas), plugs=())
    assert [g["area"] for g in cost["greens"]] == ["4", "7"]
    assert cost["green_days"] == [34 + 3, 41 + 10, 53 + 22]
    assert cost["weather_days"] == 0 and "nothing. Every green was fit" in cost_lines(cost)[0]


NOT_TOLD = "Lost to dead turf: nobody can say. Why: no survey"
NO_END = DayRange(D(2025, 9, 1), None, None)


@pytest.mark.parametrize(
    ("fit", "made", "words"),
    [
        (None, lambda: None, ("Lost to weather: nobody can say yet", NOT_TOLD)),
        (D(2025, 4, 28), lambda: plan(), ("nothing", "no green stays shut")),
        (D(2025, 4, 28), lambda: plan(shut("4", NO_END)), ("nothing", "past the end of what")),
    ],
)
def test_what_is_not_known_is_not_counted_as_nothing(
    course: Course, fit: dt.date | None, made: Callable[[], Plan | None], words: tuple[str, str]
) -> None:
    cost = cost_record(course, "2024-25", fit_from=fit, plan=made(), plugs=(), why="no survey")
    assert all(word in line for word, line in zip(words, cost_lines(cost), strict=True))
    assert (cost["damage_money"] is None) == (made() is None)
