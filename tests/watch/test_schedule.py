"""The schedule: only our own lines and files, whole paths, no environment, and nothing of the user's lost."""

import datetime as dt
import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from winterrisk.course import read_course
from winterrisk.watch.calendar import MONTHS, Calendar
from winterrisk.watch.crontab import ScheduleError, block, with_block
from winterrisk.watch.systemd_units import units
from winterrisk.watch.write_schedule import night_command, unit_name

Command = Callable[..., tuple[int, str, str]]
CALENDAR = Calendar(4, 17, "America/Winnipeg")
LINES = block("winterrisk-moor-1", ["/usr/bin/python3", "-m", "winterrisk.cli"], "/srv/moor/log", CALENDAR)
CRONTAB_PROGRAM = """#!/bin/sh
# Keeps a crontab in a file, as the system's own program does for a user; the test's user has none of their own.
if [ "$1" = "-l" ]; then
    if [ -f "{kept}" ]; then cat "{kept}"; else echo "no crontab for keeper" >&2; exit 1; fi
else
    cat > "{kept}.new"
    if [ -f "{kept}.refuses" ]; then echo "errors in crontab file, can't install." >&2; exit 1; fi
    mv "{kept}.new" "{kept}"
fi
"""
"""The user's real crontab is nothing for a test to write; so a program that keeps one in a file stands first."""


@pytest.fixture
def crontab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file that holds the crontab."""
    kept, program = tmp_path / "kept", tmp_path / "bin" / "crontab"
    program.parent.mkdir()
    program.write_text(CRONTAB_PROGRAM.replace("{kept}", str(kept)), encoding="utf-8")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("PATH", f"{program.parent}{os.pathsep}{os.environ['PATH']}")
    return kept


needs_shell = pytest.mark.skipif(shutil.which("sh") is None, reason="needs a shell")
THEIRS = "MAILTO=keeper@example.invalid\n# their own\n5 1 * * * backup --all 'a%b'\n"


@needs_shell
def test_only_our_lines_come_and_go(course_copy: Path, crontab: Path, winterrisk_command: Command) -> None:
    crontab.write_text(THEIRS, encoding="utf-8")
    code, out, _ = winterrisk_command("schedule", course_copy)
    assert code == 0 and "printed only" in out and crontab.read_text(encoding="utf-8") == THEIRS
    code, out, _ = winterrisk_command("schedule", course_copy, "--install")
    assert code == 0 and "written to your crontab" in out
    once = crontab.read_text(encoding="utf-8")
    assert once.startswith(THEIRS) and once.count("winterrisk begins") == 1
    code, out, _ = winterrisk_command("schedule", course_copy, "--install")
    assert (code, crontab.read_text(encoding="utf-8")) == (0, once) and "stood already" in out
    code, out, _ = winterrisk_command("status", course_copy)
    assert "(cron)" in out and "next run" in out
    code, out, _ = winterrisk_command("schedule", course_copy, "--remove")
    assert (code, crontab.read_text(encoding="utf-8")) == (0, THEIRS) and "taken out" in out
    assert "nothing was there" in winterrisk_command("schedule", course_copy, "--remove")[1]


@needs_shell
def test_a_crontab_that_is_not_taken_stays_as_it_was(
    course_copy: Path, crontab: Path, winterrisk_command: Command
) -> None:
    crontab.write_text(THEIRS, encoding="utf-8")
    crontab.with_name("kept.refuses").touch()
    code, out, err = winterrisk_command("schedule", course_copy, "--install")
    assert (code, out) == (2, "") and "can't install" in err and "put back" in err
    assert crontab.read_text(encoding="utf-8") == THEIRS


def test_no_cron_is_told_with_the_other_way(
    course_copy: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, winterrisk_command: Command
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    code, _, err = winterrisk_command("schedule", course_copy, "--install")
    assert code == 2 and "--systemd" in err and len(err.splitlines()) == 1


@settings(max_examples=150, deadline=None)
@given(text=st.lists(st.sampled_from(["# a", "5 1 * * * x", "", "\t", "é%", LINES.rstrip()]), max_size=6))
def test_a_users_lines_are_never_changed(text: list[str]) -> None:
    theirs = "".join(f"{line}\n" for line in text)
    try:
        added = with_block(theirs, "winterrisk-moor-1", LINES)
    except ScheduleError:
        assert theirs.count("winterrisk begins") > 1
        return
    assert added.count(LINES) == 1
    assert with_block(added, "winterrisk-moor-1", LINES) == added
    assert with_block(added, "winterrisk-moor-1", "") == theirs.replace(LINES, "")


def test_the_line_is_one_that_cron_takes(course_copy: Path, tmp_path: Path) -> None:
    """Minute, hours, days, months; % ends a command unless kept. `test_cron_line` runs it."""
    folder = course_copy.rename(tmp_path / "Grüne 100% o'Moor $HOME")
    course = read_course(folder)
    lines = block(unit_name(course), night_command(course), str(folder / "schedule.log"), CALENDAR)
    (line,) = [row for row in lines.splitlines() if not row.startswith("#")]
    minute, hours, every, months, days, command = line.split(" ", 5)
    assert (minute, hours, every, days) == ("17", "4-22", "*", "*")
    assert [int(month) for month in months.split(",")] == sorted(MONTHS)
    assert "%" not in command.replace(r"\%", "") and "--if-due" in command


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd-analyze here")
@pytest.mark.parametrize("name", ["moor", "Grüne 100% o'Moor $HOME \\x"])
def test_systemd_takes_the_units(tmp_path: Path, name: str) -> None:
    """Held against systemd's own reading of unit files and of calendars."""
    folder = tmp_path / name
    folder.mkdir()
    files = units("winterrisk-moor-1", name, [sys.executable, "-m", "winterrisk.cli", str(folder)], CALENDAR)
    for unit, text in files.items():
        (tmp_path / unit).write_text(text, encoding="utf-8")
    paths = [str(tmp_path / unit) for unit in files]
    home = {
        **os.environ,
        "HOME": str(tmp_path),
        "XDG_RUNTIME_DIR": str(tmp_path),
        "SYSTEMD_LOG_LEVEL": "warning",
    }
    ran = subprocess.run(
        ["systemd-analyze", "verify", "--user", "--man=no", *paths],
        capture_output=True,
        text=True,
        env=home,
        timeout=60,
    )
    ours = [line for line in ran.stderr.splitlines() if "winterrisk-moor-1" in line]
    assert (ran.returncode, ours) == (0, []), ran.stderr
    (when,) = [row for row in files["winterrisk-moor-1.timer"].splitlines() if row.startswith("OnCalendar=")]
    ran = subprocess.run(
        ["systemd-analyze", "calendar", "--base-time=2026-07-04", when.removeprefix("OnCalendar=")],
        capture_output=True, text=True, env={**os.environ, "TZ": "UTC"}, timeout=60,
    )  # fmt: skip
    assert ran.returncode == 0 and "2026-10-01 09:17:00 UTC" in ran.stdout, ran.stdout + ran.stderr


def test_unit_files_are_written_and_only_ours_removed(
    course_copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, winterrisk_command: Command
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("PATH", str(tmp_path))
    where = tmp_path / "config" / "systemd" / "user"
    code, out, _ = winterrisk_command("schedule", course_copy, "--systemd", "--install")
    name = unit_name(read_course(course_copy))
    assert code == 0 and {p.name for p in where.iterdir()} == {f"{name}.timer", f"{name}.service"}
    assert "enable-linger" in out and "systemctl --user daemon-reload" in out
    assert "(systemd)" in winterrisk_command("status", course_copy)[1]
    (where / "other.service").write_text("theirs", encoding="utf-8")
    assert winterrisk_command("schedule", course_copy, "--systemd", "--remove")[0] == 0
    assert [p.name for p in where.iterdir()] == ["other.service"]
    (where / f"{name}.timer").write_text("theirs", encoding="utf-8")
    for option in ("--install", "--remove"):
        code, _, err = winterrisk_command("schedule", course_copy, "--systemd", option)
        assert code == 2 and "did not write" in err
    assert (where / f"{name}.timer").read_text(encoding="utf-8") == "theirs"


def test_two_copies_of_a_course_never_share_a_schedule(course_copy: Path, tmp_path: Path) -> None:
    other = shutil.copytree(course_copy, tmp_path / "other")
    assert unit_name(read_course(course_copy)) != unit_name(read_course(other))


@pytest.mark.parametrize(
    ("zone", "hour", "words"),
    [
        ("America/Winnipeg", 4, "comes once on every day"),
        ("Europe/Oslo", 4, "comes once on every day"),
        ("Europe/Oslo", 2, "skipped or comes twice"),
        ("America/St_Johns", 1, "skipped or comes twice"),
    ],
)
def test_changes_of_the_clock_are_looked_up(zone: str, hour: int, words: str) -> None:
    """Clocks go forward at 02:00 in Oslo and back at 03:00; in Newfoundland since 2011 at 02:00 both ways: the
    hour from 01:00 comes twice."""
    assert words in Calendar(hour, 17, zone).clock_changes(2026)


def test_the_next_run_follows_clock_and_months() -> None:
    """America/Winnipeg is UTC-6 in winter, UTC-5 from 8 March 2026 on."""
    run = dt.datetime
    assert CALENDAR.next_run(run(2026, 3, 7, 9, 0)) == run(2026, 3, 7, 10, 17)
    assert CALENDAR.next_run(run(2026, 3, 7, 10, 17)) == run(2026, 3, 8, 9, 17)
    assert CALENDAR.next_run(run(2026, 6, 30, 12, 0)) == run(2026, 10, 1, 9, 17)
    assert CALENDAR.on_clock_of("UTC", dt.date(2026, 1, 15)) == Calendar(10, 17, "UTC")
    assert 3 <= Calendar.of("any", "UTC").minute < 28
