"""The lines of a course in a user's crontab: text alone, the user's other lines never changed."""

import re
from collections.abc import Sequence
from shlex import quote
from typing import Final

from winterrisk.science.faults import Fault, Refused
from winterrisk.watch.calendar import LAST_HOUR, MONTHS, Calendar

BEGIN, END = "# winterrisk begins: ", "# winterrisk ends: "
LONGEST_LINE: Final = 998
"""Longest command that cron programs take [characters]."""


class ScheduleError(Refused):
    """A schedule that cannot be written, or a crontab that is not as we left it."""


def block(name: str, command: Sequence[str], log: str, calendar: Calendar) -> str:
    """The lines of a course: once an hour from its first run on, so that a missed or failed night is made up for.

    Args:
        name: the unit name of the course. command: program and arguments. log: file to which output goes.
        calendar: on the clock of the machine.
    Raises:
        ScheduleError: a path that a crontab cannot hold.
    """
    line = f"{_command(command)} >> {_word(log)} 2>&1"
    months = ",".join(str(month) for month in sorted(MONTHS))
    last = max(LAST_HOUR, calendar.hour)
    hours = f"{calendar.hour}-{last}" if last > calendar.hour else f"{calendar.hour}"
    if len(line) > LONGEST_LINE:
        found, move = f"a command of {len(line)} characters", "use a folder with a shorter name"
        raise ScheduleError(Fault("crontab", found, f"up to {LONGEST_LINE}", move))
    return f"{BEGIN}{name}\n{calendar.minute} {hours} * {months} * {line}\n{END}{name}\n"


def with_block(text: str, name: str, lines: str) -> str:
    """A crontab with the lines of a course: in place of its old ones, else at its end. Empty lines take them out.

    Raises:
        ScheduleError: the marks of the course are not one pair.
    """
    begin, end = BEGIN + name, END + name
    rows = text.splitlines(keepends=True)
    bare = [row.rstrip("\r\n") for row in rows]
    marks = (bare.count(begin), bare.count(end))
    if marks == (0, 0):
        kept = text if not text or text.endswith("\n") or not lines else f"{text}\n"
        return kept + lines
    first, last = (bare.index(begin) if marks[0] else -1), (bare.index(end) if marks[1] else -1)
    if marks != (1, 1) or first > last:
        found, move = (
            f"marks of {name} that are no pair",
            "run `crontab -e` and delete the lines of that course",
        )
        raise ScheduleError(Fault("crontab", found, "one line that begins it and one that ends it", move))
    return "".join(rows[:first]) + lines + "".join(rows[last + 1 :])


def _command(words: Sequence[str]) -> str:
    return " ".join(_word(word) for word in words)


def _word(word: str) -> str:
    """A word for the shell of a crontab: quoted, and its % kept from being a line end."""
    if re.search(r"[\x00-\x1f\x7f]", word):
        raise ScheduleError(
            Fault("crontab", f"a control character in {word!r}", "a plain path", "rename the folder")
        )
    return quote(word).replace("%", r"\%")
