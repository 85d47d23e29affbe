"""Calls taken back, and chances that go to and fro.

The index: worked by hand from the published formula (Griffiths et al. 2019, from memory).
"""

import numpy as np
import pandas as pd
import pytest

from winterrisk.sampling import answered_since, flip_flop_index, turned


def call(kind: str, zone: str) -> dict[str, str]:
    return {"kind": kind, "zone": zone}


def test_a_steady_rise_has_no_flip_flop_and_a_zigzag_all_of_it() -> None:
    assert flip_flop_index([0.1, 0.2, 0.4, 0.9]) == 0.0
    assert flip_flop_index([0.9, 0.3, 0.1]) == 0.0
    assert flip_flop_index([0.1, 0.3, 0.1, 0.3]) == pytest.approx((0.6 - 0.2) / 2)
    assert flip_flop_index([0.2, 0.5, 0.3, 0.6]) == pytest.approx((0.3 + 0.2 + 0.3 - 0.4) / 2)
    assert flip_flop_index([0.4, 0.1]) == flip_flop_index([]) == 0.0


def test_plugs_that_become_a_look_or_nothing_are_taken_back() -> None:
    before = [call("pull", "7 low"), call("look", "2 dam"), call("pull", "4 low")]
    now = [call("look", "7 low"), call("pull", "4 low")]
    assert turned(before, now, (), ()) == [
        {"zone": "7 low", "was": "pull", "now": "look"},
        {"zone": "2 dam", "was": "look", "now": "none"},
    ]


def test_a_step_on_a_call_held_for_time_and_an_answer_are_not() -> None:
    before = [call("look", "7 low"), call("pull", "4 low"), call("look", "2 dam")]
    now = [call("pull", "7 low")]
    assert turned(before, now, [call("pull", "4 low")], {"2 dam"}) == []
    assert turned(before, now, [call("look", "4 low")], {"2 dam"}) == [
        {"zone": "4 low", "was": "pull", "now": "look"}
    ]
    assert turned((), now, (), ()) == []


def test_answers_count_from_the_last_night_on() -> None:
    since = np.datetime64("2025-02-10T09:00")
    seen = pd.DataFrame(
        {
            "zone": ["7 low", "2 dam"],
            "area": ["7", "2"],
            "time": pd.to_datetime(["2025-02-09T00:00", "2025-02-10T15:00"]),
        }
    )
    cut = pd.DataFrame({"zone": ["4 low"], "area": ["4"], "cut": pd.to_datetime(["2025-02-11"])})
    nothing = pd.DataFrame({"zone": [], "area": [], "date": []})
    zones = ("7 low", "2 dam", "2 open", "4 low")
    assert answered_since({"time": seen, "cut": cut, "date": nothing}, since, zones) == {"2 dam", "4 low"}


def test_a_note_on_a_whole_green_or_course_answers_for_each_of_its_zones() -> None:
    since, zones = np.datetime64("2025-02-10T09:00"), ("4 low", "4 open", "42 low", "7 low")
    late = pd.to_datetime(["2025-02-10T15:00"])

    def answered(zone: str, area: str) -> set[str]:
        seen = pd.DataFrame({"zone": [zone], "area": [area], "time": late})
        return answered_since({"time": seen}, since, zones)

    assert answered("4", "4") == {"4 low", "4 open"}, "and not 42 low"
    assert answered("all", "") == set(zones)
