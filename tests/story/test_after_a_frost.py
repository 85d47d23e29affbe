"""After a frost on bare turf the night asks for the snow, soon and by name of the night; a note of that day answers."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

from real_records import TWO, champion_course, champion_days

from winterrisk.nightly import Night, Settings, run

QUICK = Settings(n_ground=2, n_paths=3, n_draws=60)
FROST = dt.date(1985, 12, 2)
"""The night after -23 degC on turf without snow (Champion)."""
NEXT = FROST + dt.timedelta(days=1)
Command = Callable[..., tuple[int, str, str]]


def asked(night: Night) -> dict[str, str]:
    return {c["zone"]: c["reason"] for c in night.record["calls"] if c["kind"] == "look"}


def test_a_note_of_the_day_before_the_frost_answers_and_takes_the_chance_down(
    tmp_path: Path, winterrisk_command: Command
) -> None:
    course = champion_course(tmp_path, champion_days()["1980-07-01":"1987-07-31"], TWO)
    first = run(course, FROST, send=False, settings=QUICK)
    assert "frost in the night to 1 Dec" in asked(first)["7 low"]
    assert "did snow lie on it on 30 Nov?" in asked(first)["7 low"]
    assert {"7 low", "7 ridge"} == set(asked(first)) and "PULL" not in first.alert
    code, _, _ = winterrisk_command(
        "observe", str(course), "7 low snow 10 cm", "--on", "1985-11-29", "--known", "1985-12-02 12:00"
    )
    assert code == 0
    then = run(course, NEXT, send=False, settings=QUICK)
    dead = {
        n: {z["zone"]: z["dead_now"] for z in night.record["data"]["zones"]}
        for n, night in enumerate((first, then))
    }
    assert dead[1]["7 low"] < 0.5 * dead[0]["7 low"] and dead[1]["7 ridge"] > 0.8 * dead[0]["7 ridge"]
    assert "7 low" not in asked(then) and "7 ridge" in asked(then)
    assert all(row["zone"] != "7 low" for row in then.record["data"]["turned"]), "it was answered"
