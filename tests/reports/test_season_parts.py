"""Damage by area, scores, words and spells of the season report, against sums done by hand."""

import json

import pandas as pd
import pytest

from winterrisk.calibration.warning_score import SCORES, score, score_counts
from winterrisk.course import course_from_text
from winterrisk.plugs import dead_share_upper
from winterrisk.reports.season_causes import causes_by_night
from winterrisk.reports.season_damage import area_damage, band_of, dead_by, zone_survey
from winterrisk.reports.season_data import longest_without_look, missing_nights
from winterrisk.reports.season_done import TREATMENTS, observation_words
from winterrisk.reports.season_plugs import verdict_of_round
from winterrisk.reports.season_said import call_words, chance_spells, first_call, said_of_zone
from winterrisk.reports.units import measure_words, percent, share_range, size_words

COURSE = """
[place]
name = "Testmoor"
latitude = 46.6
longitude = -95.0
elevation = 380
timezone = "America/Winnipeg"
invented = true
[station]
file = "station.csv"
[turf]
shares = {annual_bluegrass = 0.6, creeping_bent = 0.4}
[[areas]]
name = "4"
kind = "green"
size = 500
[[areas.zones]]
name = "low"
template = "low spot"
share = 0.2
[[areas.zones]]
name = "open"
template = "open"
share = 0.8
"""
LOW = course_from_text(COURSE).zone("4 low")


def zone(
    name: str, size: float, low: float | None, high: float = 0.0, cause: str = "ice"
) -> dict[str, object]:
    survey = (
        None if low is None else {"date": "2025-05-12", "low": low, "high": high, "cause": cause, "who": ""}
    )
    return {"zone": name, "size_m2": size, "survey": survey, "template": "open"}


def surveys(*rows: tuple[str, str, float, float, str]) -> pd.DataFrame:
    names = ("date", "species", "dead_low", "dead_high", "cause")
    frame = pd.DataFrame(rows, columns=list(names))
    frame["date"] = pd.to_datetime(frame["date"])
    return frame.assign(zone="4 low", area="4", winter="2024-25", who="Ann")


def test_a_large_zone_weighs_more_than_a_small_one() -> None:
    damage = area_damage([zone("a", 100.0, 0.5, 0.7), zone("b", 300.0, 0.0, 0.1), zone("c", 50.0, None)])
    assert damage["dead_m2"] == pytest.approx(100 * 0.6 + 300 * 0.05)
    assert damage["dead"] == pytest.approx(75 / 400, abs=1e-4)
    assert (damage["low"], damage["high"]) == (pytest.approx(50 / 400), pytest.approx(100 / 400))
    assert damage["not_surveyed"] == ["c"]
    assert damage["surveyed_m2"] == 400


def test_without_a_survey_no_share_is_made_up() -> None:
    damage = area_damage([zone("a", 100.0, None)])
    assert damage["dead"] is None and damage["low"] is None and damage["surveyed"] == 0


def test_dead_area_by_cause_is_in_order_of_area() -> None:
    rows = dead_by([zone("a", 100.0, 0.9, 0.9, "cold"), zone("b", 900.0, 0.2, 0.2, "ice")], "cause")
    assert [(r["cause"], r["dead_m2"]) for r in rows] == [("ice", 180.0), ("cold", 90.0)]


def test_grasses_surveyed_apart_weigh_by_their_share_and_a_grass_left_out_may_be_anything() -> None:
    both = surveys(
        ("2025-05-12", "annual_bluegrass", 0.5, 0.5, "ice"), ("2025-05-12", "creeping_bent", 0.0, 0.1, "ice")
    )
    found = zone_survey(both, LOW, "2024-25")
    assert found is not None
    assert (found["low"], found["high"]) == (pytest.approx(0.3), pytest.approx(0.34))
    one = zone_survey(both[:1], LOW, "2024-25")
    assert one is not None
    assert (one["low"], one["high"]) == (pytest.approx(0.3), pytest.approx(0.7))


def test_of_two_surveys_the_one_with_most_dead_counts() -> None:
    found = zone_survey(
        surveys(("2025-04-20", "all", 0.3, 0.5, "ice"), ("2025-06-10", "all", 0.05, 0.1, "ice")),
        LOW,
        "2024-25",
    )
    assert found is not None
    assert (found["date"], found["low"]) == ("2025-04-20", 0.3)
    assert zone_survey(surveys(), LOW, "2024-25") is None


@pytest.mark.parametrize(
    ("share", "band"), [(0.005, "none"), (0.006, "trace"), (0.05, "trace"), (0.06, "spots"), (0.25, "spots"),
                        (0.26, "parts"), (0.60, "parts"), (0.61, "most")],
)  # fmt: skip
def test_band_edges(share: float, band: str) -> None:
    assert band_of(share) == band


@pytest.mark.parametrize(
    ("low", "high", "warned", "treated", "judged", "wanted"),
    [
        (0.3, 0.5, True, False, True, "hit"),
        (0.3, 0.5, False, False, True, "miss"),
        (0.0, 0.05, True, False, True, "false"),
        (0.05, 0.1, True, False, True, "close"),
        (0.2, 0.3, True, False, True, "close"),
        (0.2, 0.3, False, False, True, "close"),
        (0.1, 0.2, False, False, True, "quiet"),
        (0.0, 0.05, True, True, True, "acted on"),
        (0.0, 0.05, False, True, True, "acted on"),
        (0.3, 0.5, True, True, True, "acted on"),
        (0.3, 0.5, False, True, True, "miss"),
        (0.3, 0.5, False, False, False, "nothing said"),
    ],
)
def test_score(low: float, high: float, warned: bool, treated: bool, judged: bool, wanted: str) -> None:
    assert score({"low": low, "high": high}, warned=warned, judged=judged, treated=treated) == wanted


def test_a_treated_zone_is_never_a_false_alarm_whatever_the_survey() -> None:
    for low in (0.0, 0.05, 0.2, 0.5, 0.9):
        assert score({"low": low, "high": low}, warned=True, judged=True, treated=True) != "false"
    assert score(None, warned=True, judged=True, treated=False) == "no survey"
    assert score_counts(["hit", "hit", "miss"]) == {**dict.fromkeys(SCORES, 0), "hit": 2, "miss": 1}


def night(on: str, *, calls: list[dict[str, object]] | None = None, silent: str = "") -> dict[str, object]:
    cannot = [{"zone": "4 low", "why": silent}] if silent else []
    return {
        "on": on,
        "calls": calls or [],
        "cannot_say": cannot,
        "data": {"until_day": "2025-05-01", "zones": []},
    }


PULL = {
    "kind": "pull", "zone": "4 low", "area": "4", "by": "2025-02-28", "number": 4, "spots": [],
    "band": "parts", "reason": "day 41 under ice; ice",
    "chance": 0.33, "low": 0.2, "high": 0.5, "until": "2025-02-26",
}  # fmt: skip


def test_a_call_repeated_night_after_night_is_one_row_and_a_pause_makes_a_new_one() -> None:
    dates = ["2025-02-10", "2025-02-11", "2025-02-14", "2025-02-18"]
    rows = said_of_zone([night(d, calls=[PULL]) for d in dates], "4 low")
    assert [(r["first"], r["last"], r["nights"]) for r in rows] == [
        ("2025-02-10", "2025-02-14", 3),
        ("2025-02-18", "2025-02-18", 1),
    ]
    assert said_of_zone([night("2025-02-10", calls=[PULL])], "4 open") == []
    assert first_call(rows, ("pull",), "2025-02-10") is None
    assert first_call(rows, ("pull",), "2025-02-12") == "2025-02-10"
    silent = said_of_zone([night("2025-02-10", silent="no weather for 60 h")], "4 low")
    assert silent[0]["words"] == "CANNOT SAY: no weather for 60 h"


def test_a_call_reads_as_it_was_given() -> None:
    assert call_words(PULL) == (
        "PULL PLUGS (4) by Fri 28 Feb: day 41 under ice; lack of air under ice; "
        "about 1 in 3 (1 in 5 to 1 in 2) that more than a quarter of it is dead already"
    )


def test_chances_alike_in_words_are_drawn_together() -> None:
    chances = [
        {"on": f"2025-02-0{i}", "chance": c, "low": c, "high": c} for i, c in ((1, 0.1), (2, 0.11), (3, 0.5))
    ]
    assert [(s["first"], s["last"], s["words"]) for s in chance_spells(chances)] == [
        ("2025-02-01", "2025-02-02", "about 1 in 10"),
        ("2025-02-03", "2025-02-03", "about 1 in 2"),
    ]


def test_nights_missing_and_the_longest_time_without_a_look() -> None:
    dates = ["2025-01-30", "2025-01-31", "2025-02-03", "2025-02-05"]
    assert missing_nights(dates) == [
        {"first": "2025-02-01", "last": "2025-02-02", "days": 2},
        {"first": "2025-02-04", "last": "2025-02-04", "days": 1},
    ]
    spell = longest_without_look(["2025-01-10", "2025-02-20"], "2025-01-01", "2025-02-25")
    assert spell == {"first": "2025-01-10", "last": "2025-02-20", "days": 41}
    assert missing_nights([]) == []


def test_causes_of_the_last_night_before_the_survey_weigh_by_expected_dead_area() -> None:
    def told(on: str, ice: float) -> dict[str, object]:
        rows = [
            {"zone": "a", "dead_share": 0.5, "causes": {"ice": ice, "cold": 1 - ice}},
            {"zone": "b", "dead_share": 0.1, "causes": {"cold": 1.0}},
        ]
        return {"on": on, "data": {"zones": rows}}

    found = causes_by_night(
        [told("2025-03-01", 0.8), told("2025-06-01", 0.0)], {"a": 100.0, "b": 100.0}, "2025-05-12"
    )
    assert found is not None and found["on"] == "2025-03-01"
    assert found["causes"] == [{"cause": "ice", "share": 0.6667}, {"cause": "cold", "share": 0.3333}]
    assert causes_by_night([], {}, None) is None


def test_live_plugs_say_what_they_leave_open() -> None:
    words = verdict_of_round({"creeping_bent": {"alive": 3}}, 3, {})
    assert dead_share_upper(3) == pytest.approx(0.63, abs=0.005)  # 1 - 0.05^(1/3), Hanley & Lippman-Hand 1983
    assert words == "of 3 plugs: creeping bent: 3 alive (3 live still allow up to 63 % dead)"
    brown = verdict_of_round(
        {"annual_bluegrass": {"likely dead": 2, "alive": 1}}, 3, {"annual_bluegrass": 0.92}
    )
    assert brown == "of 3 plugs: annual bluegrass: 2 likely dead (9 in 10 each), 1 alive"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(0.3, 0.5, "30-50 %"), (0.005, 0.05, "0.5-5 %"), (0.4, 0.4, "40 %"), (0.0, 0.005, "0-0.5 %"),
     (0.0004, 0.05, "under 0.1 % to 5 %")],
)  # fmt: skip
def test_share_ranges(low: float, high: float, words: str) -> None:
    assert share_range(low, high) == words


def test_units_of_the_reader() -> None:
    assert percent(0.445) == "45 %"
    assert size_words(183.0, "metric") == "183 m²"
    assert size_words(1000.0, "us") == "10,760 ft²"  # 1 m2 = 10.7639 ft2
    assert measure_words(25.4, "mm", "us") == "1.0 in"
    assert measure_words(-2.0, "degC", "us") == "28 °F"
    assert measure_words(9.0, "mm", "metric") == "9 mm"
    assert measure_words(float("nan"), "mm", "metric") == ""


def observation(**given: object) -> pd.Series:
    row = {"kind": "ice_seen", "value": 9.0, "unit": "mm", "share": 0.9, "detail": "clear", "who": "Ann"}
    return pd.Series({**row, **given})


def test_observations_read_as_people_say_them() -> None:
    assert observation_words(observation(), "metric") == "ice 9 mm, clear, on 90 % of it (Ann)"
    nothing = observation(kind="no_ice", value=float("nan"), unit="", share=1.0, detail="", who="")
    assert observation_words(nothing, "metric") == "no ice"
    gas = observation(kind="gas_seen", value=3.0, unit="percent", share=1.0, detail="9", who="")
    assert observation_words(gas, "metric") == "oxygen 3 %, carbon dioxide 9 %"
    assert "cover_off" not in TREATMENTS and "sanded" not in TREATMENTS


def test_the_record_of_damage_is_plain_json() -> None:
    assert json.loads(json.dumps(area_damage([zone("a", 10.0, 0.1, 0.2)])))["dead"] == 0.15
