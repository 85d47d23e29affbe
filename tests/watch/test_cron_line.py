"""The crontab line as `winterrisk schedule` prints it, run as cron runs it: a real night of tonight, and then no other.

The weather is the sample's, moved by whole years to end with this hour, so that the season is right whenever it runs.
"""

import datetime as dt
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "story"))
from small_courses import COURSE

from winterrisk.course import read_course, replay_start, winter_of
from winterrisk.watch.read_log import read_log

Command = Callable[..., tuple[int, str, str]]
YEAR = 2024
"""A year that the sample's record has whole, and the summer before it."""
pytestmark = pytest.mark.skipif(
    shutil.which("env") is None or shutil.which("sh") is None, reason="needs a shell"
)


def moved(time: str, by: dt.timedelta) -> str:
    return (dt.datetime.fromisoformat(time) + by).isoformat(timespec="minutes")


@pytest.fixture
def home(tmp_path: Path, sample: Path) -> Path:
    """The small course under a name that shells trip over, where it is about noon, its weather an hour old."""
    now = dt.datetime.now(dt.UTC).replace(tzinfo=None)
    then = now.replace(year=YEAR)
    folder = tmp_path / "Grüne 100% o'Moor $HOME"
    folder.mkdir()
    rows = (sample / "station.csv").read_text(encoding="utf-8").splitlines()
    head = [row for row in rows if row.startswith(("#", "time"))]
    kept = [
        moved(row[:16], now - then) + row[16:]
        for row in rows[len(head) :]
        if f"{YEAR - 1}-07-01" <= row[:16] < (then - dt.timedelta(hours=1)).isoformat()
    ]
    (folder / "station.csv").write_text("\n".join([*head, *kept]) + "\n", encoding="utf-8")
    noon = f"Etc/GMT{now.hour - 12:+d}"
    text = COURSE.replace("America/Winnipeg", noon)
    assert text != COURSE
    (folder / "course.toml").write_text(text, encoding="utf-8")
    return folder


def test_the_line_works_tonights_call_under_an_empty_environment(
    home: Path, winterrisk_command: Command
) -> None:
    code, out, _ = winterrisk_command("schedule", home)
    (line,) = [row for row in out.splitlines() if row and not row.startswith("#")]
    command = line.split(" ", 5)[5].replace(r"\%", "%")
    assert code == 0 and "--help" not in command

    def cron() -> int:
        """No HOME, no PATH, no locale, another folder; of the environment only where this checkout lies."""
        here = f"PYTHONPATH={Path(__file__).parents[2]}"
        return subprocess.run(["env", "-i", here, "/bin/sh", "-c", command], cwd="/", timeout=300).returncode

    code = cron()
    said = (home / "schedule.log").read_text(encoding="utf-8")
    assert "Traceback" not in said
    on = dt.datetime.now(read_course(home).zoneinfo).date()
    if on <= replay_start(winter_of(on)):
        assert code == 0 and "a day in summer" in said
        return
    assert code in (0, 3), said
    assert said.splitlines()[-1].startswith(f"{on}: ") and f"written to {home / 'nights' / str(on)}" in said
    assert {p.name for p in (home / "nights" / str(on)).iterdir()} == {
        "alert.txt", "night.json", "page.html", "used.json",
    }  # fmt: skip
    (run,) = read_log(home)
    assert (run.on, run.tonight, run.exit) == (on, True, code)

    assert cron() == 0, "the next hour: tonight's call was worked, and nothing waits"
    assert len(read_log(home)) == 1
    assert (home / "schedule.log").read_text(encoding="utf-8") == said
