"""One run at a time: a live one is waited for, a dead one holds nobody, a hung one is passed by and told."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from winterrisk.watch.write_lock import STALE, LockError, course_lock

HOLD = """
import sys, time
from pathlib import Path
from winterrisk.watch.write_lock import course_lock
with course_lock(Path(sys.argv[1]), print):
    print("held", flush=True)
    time.sleep(float(sys.argv[2]))
"""


@pytest.fixture
def holder(tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that holds the lock of the folder."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path), "60"], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None and process.stdout.readline() == "held\n"
    yield process
    process.kill()
    process.wait()
    process.stdout.close()


def test_a_live_run_is_named_and_not_run_beside(holder: subprocess.Popen[str], tmp_path: Path) -> None:
    told: list[str] = []
    with (
        pytest.raises(LockError, match=f"process {holder.pid} on ") as refused,
        course_lock(tmp_path, told.append, wait=0.3),
    ):
        pytest.fail("two runs at once")
    assert "wait for it to end" in str(refused.value)
    assert len(told) == 1 and "waiting up to" in told[0]


def test_a_run_that_ends_lets_the_next_one_in(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path), "0.5"], stdout=subprocess.PIPE, text=True
    )
    with process.stdout as said:  # type: ignore[union-attr]
        said.readline()
        with course_lock(tmp_path, lambda line: None, wait=20.0):
            assert process.wait(10) == 0
    assert list(tmp_path.rglob(".lock*")) == [], "nothing is left of a lock"


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a process that can be killed")
def test_a_killed_run_holds_nobody(holder: subprocess.Popen[str], tmp_path: Path) -> None:
    holder.send_signal(signal.SIGKILL)
    holder.wait()
    assert (tmp_path / "nights" / ".lock").exists()
    told: list[str] = []
    with course_lock(tmp_path, told.append, wait=0.0):
        assert told == []
        assert f"process {os.getpid()} " in (tmp_path / "nights" / ".lock").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("sign", "words"), [(-1, "for 7 h"), (1, "a time yet to come")], ids=["old", "future"]
)
def test_a_hung_run_is_passed_by_and_told(
    holder: subprocess.Popen[str], tmp_path: Path, sign: int, words: str
) -> None:
    then = time.time() + sign * (STALE + 3600)
    os.utime(tmp_path / "nights" / ".lock", (then, then))
    told: list[str] = []
    with course_lock(tmp_path, told.append, wait=0.0):
        assert len(told) == 1 and words in told[0] and f"process {holder.pid}" in told[0]
        with pytest.raises(LockError), course_lock(tmp_path, told.append, wait=0.0):
            pytest.fail("two runs at once")
