"""Puts a course's nights into this user's crontab or systemd, and takes them out; nothing else there is touched."""

import hashlib
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Final

from winterrisk.course import Course
from winterrisk.science.faults import Fault
from winterrisk.watch.crontab import ScheduleError, with_block
from winterrisk.watch.systemd_units import MARK

TIMEOUT: Final = 30.0
"""Longest wait for the system's own programs [s]."""
LARGEST: Final = 1_000_000
"""Largest crontab or unit file that is read [characters] (judged)."""
NO_CRONTAB: Final = re.compile(r"no crontab|can't open your crontab|does not exist", re.IGNORECASE)


def unit_name(course: Course) -> str:
    """The name of a course's schedule: its id and a mark of its folder, so that two copies never share one."""
    place = hashlib.sha256(os.fsencode(course.folder.resolve())).hexdigest()[:6]
    slug = re.sub(r"[^a-z0-9]+", "-", course.id.lower()).strip("-")[:40] or "course"
    return f"winterrisk-{slug}-{place}"


def night_command(course: Course, *extra: str) -> list[str]:
    """Program and arguments of a scheduled night, by whole paths: a schedule has no PATH and no folder."""
    return [
        sys.executable,
        "-m",
        "winterrisk.cli",
        "nightly",
        str(course.folder.resolve()),
        "--if-due",
        *extra,
    ]


def machine_timezone() -> str:
    """IANA name of this machine's time zone; UTC where it cannot be told."""
    from zoneinfo import ZoneInfo

    told = os.environ.get("TZ", "").lstrip(":")
    for name in (told, _linked(Path("/etc/localtime")), _written(Path("/etc/timezone"))):
        try:
            if name and ZoneInfo(name):
                return name
        except (ValueError, OSError):
            continue
    return "UTC"


def read_crontab() -> str:
    """This user's crontab; empty where there is none.

    Raises:
        ScheduleError: no crontab program, or it does not answer.
    """
    ran = _run(["crontab", "-l"])
    if ran.returncode and not (NO_CRONTAB.search(ran.stderr) or not ran.stderr.strip()):
        found = f"that it fails ({ran.stderr.strip().splitlines()[0][:200]})"
        raise ScheduleError(Fault("crontab -l", found, "this user's crontab", "see whether you may use cron"))
    text = "" if ran.returncode else ran.stdout
    if len(text) > LARGEST:
        raise ScheduleError(Fault("crontab", "more than 1 MB", "a crontab", "look into it: crontab -l"))
    return text


def write_crontab(name: str, lines: str) -> bool:
    """Put the lines of a course into this user's crontab, or take them out where empty; whether anything changed.

    The other lines stay as they are, byte for byte; where the result does not read back so, the old one is put back.

    Raises:
        ScheduleError: cron does not take it, or the marks of the course are not one pair.
    """
    before = read_crontab()
    wanted = with_block(before, name, lines)
    if wanted == before:
        return False
    ran = _run(["crontab", "-"], wanted)
    if ran.returncode == 0 and _body(read_crontab()) == _body(wanted):
        return True
    _run(["crontab", "-"], before)
    said = ran.stderr.strip().splitlines() or ["it reads back otherwise"]
    move = "the crontab was put back as it was; see whether you may use cron"
    raise ScheduleError(
        Fault("crontab", f"that it is not taken ({said[0][:200]})", "a changed crontab", move)
    )


def _body(text: str) -> list[str]:
    """The lines without the remarks that some crontab programs put on top."""
    rows = text.splitlines()
    while rows and rows[0].startswith("# ") and not rows[0].startswith("# winterrisk"):
        rows = rows[1:]
    return rows


def units_folder() -> Path:
    """Where this user's own systemd units stand.

    Raises:
        ScheduleError: no home folder.
    """
    told = os.environ.get("XDG_CONFIG_HOME")
    try:
        home = Path(told) if told else Path("~").expanduser() / ".config"
    except RuntimeError:
        home = Path()
    if not home.is_absolute():
        raise ScheduleError(Fault("systemd", "no home folder", "one for the user's own units", "set HOME"))
    return home / "systemd" / "user"


def write_units(files: dict[str, str]) -> Path:
    """Write unit files of ours; their folder. A file that is not ours is never replaced.

    Raises:
        ScheduleError: a file of that name that is not ours, or a folder that cannot be written.
    """
    folder = units_folder()
    for name in files:
        _refuse_foreign(folder / name)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            staging = folder / f".{name}.writing"
            staging.write_text(text, encoding="utf-8")
            staging.replace(folder / name)
    except OSError as fault:
        reason = (fault.strerror or "it cannot be written").lower()
        raise ScheduleError(
            Fault(str(folder), reason, "a folder you may write", "check its permissions")
        ) from None
    return folder


def remove_units(name: str) -> bool:
    """Take a course's unit files out; whether there were any.

    Raises:
        ScheduleError: a file of that name that is not ours.
    """
    paths = [units_folder() / f"{name}.{kind}" for kind in ("timer", "service")]
    there = [path for path in paths if path.is_file()]
    for path in there:
        _refuse_foreign(path)
    for path in there:
        path.unlink()
    return bool(there)


def systemctl(*words: str) -> str:
    """Ask the user's systemd to do something; empty where it did, else why not."""
    if shutil.which("systemctl") is None:
        return "no systemctl here"
    ran = _run(["systemctl", "--user", *words])
    return "" if ran.returncode == 0 else (ran.stderr.strip().splitlines() or ["it did not say why"])[0][:200]


def scheduled_by(course: Course) -> str:
    """What runs this course's nights on this machine: "cron", "systemd", or nothing that we wrote."""
    name = unit_name(course)
    try:
        if (units_folder() / f"{name}.timer").is_file():
            return "systemd"
        if shutil.which("crontab") and f"# winterrisk begins: {name}" in read_crontab().splitlines():
            return "cron"
    except ScheduleError:
        pass
    return ""


def _refuse_foreign(path: Path) -> None:
    try:
        ours = not path.exists() or path.read_text(encoding="utf-8", errors="replace")[:LARGEST].startswith(
            MARK
        )
    except OSError:
        ours = False
    if not ours:
        found, move = "a file that winterrisk did not write", "move it elsewhere"
        raise ScheduleError(Fault(str(path), found, "none, or one of ours", move))


def _run(words: list[str], text: str | None = None) -> "subprocess.CompletedProcess[str]":
    try:
        return subprocess.run(
            words, input=text, capture_output=True, text=True, encoding="utf-8", errors="surrogateescape",
            timeout=TIMEOUT, check=False,
        )  # fmt: skip
    except FileNotFoundError:
        move = "install cron, or use --systemd" if words[0] == "crontab" else "use cron (without --systemd)"
        raise ScheduleError(Fault(words[0], "no such program", "it on this machine", move)) from None
    except (OSError, subprocess.TimeoutExpired) as fault:
        raise ScheduleError(Fault(words[0], f"no answer ({fault})"[:200], "one", "try again")) from None


def _linked(path: Path) -> str:
    try:
        return str(path.resolve()).partition("zoneinfo/")[2]
    except OSError:
        return ""


def _written(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")[:100].strip()
    except (OSError, UnicodeDecodeError):
        return ""
