"""The work list by hand: what is due first, then gain an hour, a green reached once."""

import datetime as dt

from winterrisk.sampling import Task, work_list

ON = dt.date(2025, 1, 20)


def task(what: str, where: str, minutes: int, gain: float, days: int | None) -> Task:
    return Task(what, where, minutes, gain, None if days is None else ON + dt.timedelta(days=days), "")


def test_due_comes_first_then_gain_an_hour_and_the_rest_is_told() -> None:
    look, pull = task("look", "4 low", 5, 30.0, 3), task("pull", "4 low", 50, 400.0, 3)
    due, later = task("read", "2 low", 5, 1.0, 0), task("drain", "9 dam", 40, 100.0, 2)
    done, rest = work_list([look, later, pull, due], 1.5, ON)
    # 2 low: 5 + 10; 4 low: 50 + 10 (6.7 a minute), then its look without the way (5): 80 of 90 minutes
    assert [t.what for t in done] == ["read", "pull", "look"]
    assert rest == [later]
    assert work_list([look], 0.1, ON) == ([], [look])
