"""Whether tonight's call is still to be worked, which nights were not, and whether the clock goes backwards."""

import datetime as dt
from collections.abc import Sequence
from typing import Any, Final

from winterrisk.course import night_instant
from winterrisk.watch.read_log import Run

AGAIN: Final = {0: None, 3: 4.0, 4: 4.0}
"""Hours after which tonight's call is worked again, by how it ended: not at all when it did its job; for weather that
came late when it could not say, or a message failed (what waits is sent each hour); every other end at the next call
(judged)."""
BACKWARDS: Final = dt.timedelta(hours=2)
"""How far the clock may stand behind the last run before it is told (judged)."""


def is_due(runs: Sequence[Run], now: dt.datetime, today: dt.date, timezone: str) -> bool:
    """Whether the night of `today` is still to be worked, or worth working again.

    Args:
        runs: of the log. now: UTC. today: local date of the course. Runs before its night begins do not count.
    """
    begins: dt.datetime = night_instant(today, timezone).astype("datetime64[us]").astype(dt.datetime)
    if now < begins:
        return False
    done = [run for run in runs if run.tonight and run.on == today and begins <= run.started <= now]
    if not done:
        return True
    last = done[-1]
    if last.exit not in AGAIN:
        return True
    hours = AGAIN[last.exit]
    return hours is not None and now - last.started >= dt.timedelta(hours=hours)


def missed_nights(before: dict[str, Any] | None, on: dt.date, winter: str) -> int:
    """Nights between the last written one of this winter and tonight that nobody worked."""
    if before is None or before["winter"] != winter:
        return 0
    return max(0, (on - dt.date.fromisoformat(before["on"])).days - 1)


def backwards(runs: Sequence[Run], now: dt.datetime) -> str:
    """A line where the clock stands behind a run that was written before; empty where it does not."""
    last = max((run.started for run in runs), default=now)
    if last - now <= BACKWARDS:
        return ""
    return (
        f"the clock of this machine says {now:%Y-%m-%d %H:%M} UTC, but a run was written at {last:%Y-%m-%d %H:%M} UTC: "
        "one of them is wrong; set the clock. What is said tonight is no all-clear"
    )
