"""Exit codes at the command line where a run is held up: by its own outbox, by another run."""

import datetime as dt
import functools
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "story"))
sys.path.insert(0, str(Path(__file__).parents[1] / "messages"))
from post_office import PostOffice, person, post_office
from small_courses import small_course
from test_lock import HOLD

from winterrisk import nightly

Command = Callable[..., tuple[int, str, str]]
BLIND = ("--on", "2024-01-25", "--send", "--allow-local")
"""Five days after the end of the small course's record: nothing can be said."""


@pytest.fixture
def office() -> Iterator[PostOffice]:
    with post_office() as there:
        yield there


@pytest.fixture
def home(tmp_path: Path, sample: Path, office: PostOffice, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small course with one person, worked with few members."""
    few = functools.partial(nightly.Settings, n_ground=1, n_paths=2, n_draws=10)
    monkeypatch.setattr(nightly, "Settings", few)
    folder = small_course(tmp_path / "course", sample)
    with (folder / "course.toml").open("a", encoding="utf-8") as file:
        file.write(person("Inga Varrow", office.hook))
    return folder


def foreign(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE theirs (a)")
    connection.close()


def cut_short(path: Path) -> None:
    from winterrisk.messages import open_outbox

    with open_outbox(path.parent, "small-moor"):
        pass
    path.write_bytes(path.read_bytes()[:5000])


@pytest.mark.parametrize(
    "spoilt",
    [lambda path: path.write_bytes(b"no database at all, " * 300), foreign, cut_short, Path.mkdir],
    ids=["bytes", "another program's", "cut short", "a folder"],
)
def test_an_outbox_that_cannot_be_used_is_4_until_it_is_moved_away(
    home: Path, office: PostOffice, winterrisk_command: Command, spoilt: Callable[[Path], None]
) -> None:
    """4 is worse than 3; the night is written all the same, and what it said arrives once the file is moved away."""
    outbox = home / "outbox.sqlite"
    spoilt(outbox)
    before = None if outbox.is_dir() else outbox.read_bytes()
    code, out, err = winterrisk_command("nightly", home, *BLIND)
    said = [line for line in (out + err).splitlines() if line.startswith("no message was sent: ")]
    assert (
        code == 4 and len(said) == 1 and "outbox.sqlite" in said[0] and "move the file elsewhere" in said[0]
    )
    assert "CANNOT SAY" in (home / "nights" / "2024-01-25" / "alert.txt").read_text(encoding="utf-8")
    assert office.letters == [] and (before is None or outbox.read_bytes() == before)

    code, out, err = winterrisk_command("send", home, "--allow-local")
    assert (code, out) == (2, "") and "move the file elsewhere" in err and len(err.splitlines()) == 1
    code, out, _ = winterrisk_command("status", home)
    assert code == 4 and "UNDELIVERED" in out and "outbox.sqlite cannot be read" in out

    outbox.rename(home / "outbox.old")
    assert winterrisk_command("nightly", home, *BLIND)[0] == 3
    assert [letter.headline[:10] for letter in office.letters] == ["CANNOT SAY"]


def test_another_run_at_work_is_2_and_named(
    home: Path, office: PostOffice, winterrisk_command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The wait for it is cut short here; the other run and its lock are real."""
    winterrisk_command("nightly", home, *BLIND)
    sent = len(office.letters)
    monkeypatch.setattr(nightly, "course_lock", functools.partial(nightly.course_lock, wait=0.3))
    other = subprocess.Popen([sys.executable, "-c", HOLD, str(home), "60"], stdout=subprocess.PIPE, text=True)
    try:
        assert other.stdout is not None and other.stdout.readline() == "held\n"
        for words in (("nightly", home, *BLIND), ("send", home, "--allow-local")):
            code, _, err = winterrisk_command(*words)
            assert code == 2 and f"process {other.pid} on " in err and "wait for it to end" in err
        assert winterrisk_command("status", home)[0] in (0, 3), "who only looks is not held up"
    finally:
        other.kill()
        other.communicate()
    assert winterrisk_command("nightly", home, *BLIND)[0] == 3 and len(office.letters) == sent


def test_what_quiet_hours_hold_is_told_with_its_hour(
    home: Path, office: PostOffice, winterrisk_command: Command
) -> None:
    """Quiet hours that it is now, on the course's clock."""
    now = dt.datetime.now(ZoneInfo("America/Winnipeg"))
    ends = now + dt.timedelta(hours=3)
    text = (home / "course.toml").read_text(encoding="utf-8")
    (home / "course.toml").write_text(
        f'{text}quiet = "{now - dt.timedelta(hours=2):%H:00}-{ends:%H:00}"\n', encoding="utf-8"
    )
    assert winterrisk_command("nightly", home, *BLIND)[0] == 3
    code, out, _ = winterrisk_command("send", home, "--allow-local")
    assert code == 0 and office.letters == []
    assert (
        out.startswith(f"held for Inga Varrow until {ends:%Y-%m-%d %H:00}: 'CANNOT SAY")
        and "run this again" in out
    )
