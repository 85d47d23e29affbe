"""How well a course's nights are: one line, and the exit code that goes with it."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from winterrisk.reports.words import day_in_words
from winterrisk.watch.calendar import IN_SEASON
from winterrisk.watch.read_log import Run

LATE: Final = dt.timedelta(hours=30)
"""Age of the last night from which a course in season is not well: a day and a morning (judged)."""
WORST_FIRST: Final = (1, 2, 4, 3, 0)
HEALTH: Final = {1: "FAILED", 2: "REFUSED", 4: "UNDELIVERED", 3: "CANNOT SAY", 0: "well"}


@dataclass(frozen=True)
class CourseState:
    """What is known of the nights of one course; instants are UTC.

    Attributes:
        last_run: the last run of its own night, None where there is none. last_night: when the last night was worked.
        open_calls, unanswered_since: calls of the last night nobody answered since, and the night that asked first.
        waiting: messages that failed and wait; None where that cannot be read. unsaid: zones of which the last night
        said nothing. weather_until: end of the weather it had. scheduled_by: cron, systemd, or empty.
        faults: what cannot be read, one line each. behind: a line where the clock goes backwards.
        known: whether the course file can be read.
    """

    name: str
    timezone: str
    now: dt.datetime
    last_run: Run | None = None
    last_night: dt.datetime | None = None
    open_calls: int = 0
    unanswered_since: dt.date | None = None
    waiting: int | None = 0
    unsaid: int = 0
    zones: int = 0
    weather_until: dt.datetime | None = None
    scheduled_by: str = ""
    next_run: dt.datetime | None = None
    faults: tuple[str, ...] = ()
    behind: str = ""
    known: bool = True

    @property
    def late(self) -> bool:
        """Whether no night was worked for too long, in the months in which that matters."""
        if self.local(self.now).month not in IN_SEASON:
            return False
        return self.last_night is None or self.now - self.last_night > LATE

    def local(self, instant: dt.datetime) -> dt.datetime:
        """The instant on the course's clock."""
        from zoneinfo import ZoneInfo

        return instant.replace(tzinfo=dt.UTC).astimezone(ZoneInfo(self.timezone))


def exit_code(state: CourseState) -> int:
    """The code of the worst that is known of a course: 1 a bug of ours, 2 refused, 4 a message undelivered, 3 nothing
    can be said, or no night for too long; 0 well."""
    codes = [0]
    if state.last_run is not None:
        codes.append(state.last_run.exit if state.last_run.exit in HEALTH else 1)
    if state.faults:
        codes.append(2)
    if state.waiting is None or state.waiting > 0:
        codes.append(4)
    if state.unsaid or state.late or state.behind:
        codes.append(3)
    return worst(codes)


def worst(codes: Sequence[int]) -> int:
    """The worst of several exit codes; one that is not ours counts as a bug."""
    return min((code if code in WORST_FIRST else 1 for code in codes), key=WORST_FIRST.index, default=0)


def summary(state: CourseState) -> str:
    """The course in one line: how well it is, its last night, calls, messages, zones, weather, the next run."""
    code = exit_code(state)
    word = "LATE" if code == 3 and state.late else HEALTH[code]
    parts = [_last(state), _calls(state), _messages(state), _zones(state), _weather(state), _next(state)]
    said = [*state.faults, *(filter(None, parts) if state.known else ())]
    return " ".join(f"{state.name}: {word}. {'; '.join(said)}".split())


def _last(state: CourseState) -> str:
    run = state.last_run
    ended = ""
    if run is not None and run.exit in (1, 2):
        ended = f", but the run of {_when(state, run.started)} was {'refused' if run.exit == 2 else 'a bug of ours'}"
        ended += f" ({run.said})" if run.said else ""
    if state.behind:
        ended += f"; {state.behind}"
    if state.last_night is None:
        return f"no night yet (winterrisk nightly DIR){ended}"
    return f"last night {_when(state, state.last_night)}, {_age(state.now - state.last_night)} ago{ended}"


def _calls(state: CourseState) -> str:
    if not state.open_calls:
        return "no call open" if state.last_night is not None else ""
    since = state.unanswered_since
    days = 0 if since is None else (state.local(state.now).date() - since).days
    count = f"{state.open_calls} call{'s' * (state.open_calls != 1)} open"
    return f"{count}, unanswered for up to {days} day{'s' * (days != 1)}" if days > 0 else count


def _messages(state: CourseState) -> str:
    if state.waiting is None:
        return "outbox.sqlite cannot be read: move it elsewhere, a new one is then begun"
    if not state.waiting:
        return ""
    return f"{state.waiting} message{'s' * (state.waiting != 1)} undelivered (winterrisk send DIR says why)"


def _zones(state: CourseState) -> str:
    if not state.zones:
        return ""
    return (
        f"cannot say for {state.unsaid} of {state.zones} zones"
        if state.unsaid
        else f"all {state.zones} zones judged"
    )


def _weather(state: CourseState) -> str:
    return "" if state.weather_until is None else f"weather {_age(state.now - state.weather_until)} old"


def _next(state: CourseState) -> str:
    if not state.scheduled_by or state.next_run is None:
        return "no schedule on this machine (winterrisk schedule DIR)"
    return f"next run {_when(state, state.next_run)} ({state.scheduled_by})"


def _when(state: CourseState, instant: dt.datetime) -> str:
    local = state.local(instant)
    year = f" {local.year}" if abs(instant - state.now) > dt.timedelta(days=180) else ""
    return f"{day_in_words(local.date())}{year} {local:%H:%M}"


def _age(age: dt.timedelta) -> str:
    hours = age / dt.timedelta(hours=1)
    return f"{hours:.0f} h" if abs(hours) < 96 else f"{hours / 24:.0f} days"
