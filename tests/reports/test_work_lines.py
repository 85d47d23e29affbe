"""Today's work in words: what a night's record asks, what falls due, and never an all-clear of missing data."""

from typing import Any

from winterrisk.reports.work_lines import SAFETY, tasks_of_night, work_lines


def night(**changed: Any) -> dict[str, Any]:
    zones = [
        {"zone": "4 low", "snow_m": 0.2},
        {"zone": "4 front", "snow_m": 0.2},
        {"zone": "9 dam", "snow_m": 0.0},
    ]
    rain = {"kind": "rain on snow", "how": "chance", "chance": 0.6, "day": "2025-02-12"}
    return {
        "on": "2025-02-10", "calls": [], "verdicts_due": [], "cannot_say": [],
        "data": {"zones": zones, "events": [rain]}, **changed,
    }  # fmt: skip


def test_the_drain_side_is_opened_where_water_stands_by_the_course_file_whatever_its_name() -> None:
    found = tasks_of_night(night(), {"4 front", "9 dam"})
    assert [(t.what, t.where) for t in found] == [("open the drain side of", "4 front")], "no snow on 9 dam"
    assert "60% likely by 12 Feb" in found[0].why
    assert tasks_of_night(night()) == []


def test_plugs_to_read_come_even_when_overdue() -> None:
    due = [{"zone": "7 low", "due": "2025-02-08"}, {"zone": "7 low", "due": "2025-02-09"}]
    (task,) = tasks_of_night(night(verdicts_due=due))
    assert (task.what, task.where) == ("read the plugs of", "7 low")


def test_air_under_a_cover_is_work_of_the_day() -> None:
    notices = [
        {"kind": kind, "zone": zone, "text": ""}
        for kind, zone in (("cover_danger", "7 low"), ("cover", "7 low"), ("cover", "9 low"), ("cover", ""))
    ]
    told = night()
    told["data"]["notices"] = notices
    assert [(t.what, t.where) for t in tasks_of_night(told)] == [
        ("let air in under the cover of", "7 low"), ("let air in under the cover of", "9 low"),
    ]  # fmt: skip
    assert "nothing that is worth" not in " ".join(work_lines(told, 2.0))


def test_nothing_to_do_is_said_only_where_something_can_be_said() -> None:
    assert work_lines(night(), 4.0)[1] == "  nothing that is worth the time"
    blind = work_lines(night(cannot_say=[{"zone": "4 low", "why": "no data"}]), 4.0)
    assert "cannot say for 4 low" in blind[1] and "nothing that is worth" not in " ".join(blind)
    assert blind[-1] == SAFETY
