"""The service and the timer of a course for the user's own systemd: text alone."""

import re
from collections.abc import Sequence

from winterrisk.science.faults import Fault
from winterrisk.watch.calendar import LAST_HOUR, MONTHS, Calendar
from winterrisk.watch.crontab import ScheduleError

MARK = "# Written by winterrisk; `winterrisk schedule` replaces and removes it."


def units(name: str, title: str, command: Sequence[str], calendar: Calendar) -> dict[str, str]:
    """Text of NAME.service and NAME.timer.

    The timer makes up for a night missed while the machine was off (Persistent) and tries again each hour; its clock
    is that of the course, whatever the machine's.

    Args:
        title: the course, for lists. command: program and arguments.
    """
    words = " ".join(_word(word) for word in command)
    months = ",".join(f"{month:02d}" for month in sorted(MONTHS))
    service = f"""{MARK}
[Unit]
Description=Night of {_plain(title)}

[Service]
Type=oneshot
ExecStart={words}
# 3 cannot say, and 4 a message undelivered, are told by `winterrisk status`; the unit did its job
SuccessExitStatus=3 4
Nice=10
TimeoutStartSec=3h
NoNewPrivileges=yes
"""
    timer = f"""{MARK}
[Unit]
Description=Nights of {_plain(title)}

[Timer]
OnCalendar=*-{months}-* {calendar.hour:02d}..{LAST_HOUR:02d}:{calendar.minute:02d}:00 {calendar.timezone}
Persistent=true
AccuracySec=1min

[Install]
WantedBy=timers.target
"""
    return {f"{name}.service": service, f"{name}.timer": timer}


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[\x00-\x1f\x7f]", " ", text).split()).replace("%", "%%")


def _word(word: str) -> str:
    """A word as systemd reads it: in quotes, with nothing of it expanded."""
    if re.search(r"[\x00-\x1f\x7f]", word):
        raise ScheduleError(
            Fault("systemd", f"a control character in {word!r}", "a plain path", "rename the folder")
        )
    plain = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{plain}"'
