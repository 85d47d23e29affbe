"""A run that leaves its row in the log, however it ends."""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from winterrisk.course.addresses import redacted
from winterrisk.science.faults import Refused
from winterrisk.watch.steps import STEPS, Stopwatch
from winterrisk.watch.write_log import memory_mb, write_log

OUR_BUG, REFUSED = 1, 2


class RunLog(Stopwatch):
    """The row of one run, filled as it goes."""

    def __init__(self, started: dt.datetime, version: str, on: dt.date, tonight: bool) -> None:
        super().__init__()
        self.tonight = tonight
        self.row: dict[str, Any] = {
            "started": f"{started:%Y-%m-%dT%H:%M:%SZ}",
            "version": version,
            "on": on.isoformat(),
            "tonight": tonight,
        }

    def told(self, record: Mapping[str, Any], exit_code: int) -> None:
        """What the night said, and how it ended."""
        for kind, column in (("look", "looks"), ("pull", "pulls"), ("act", "acts")):
            self.row[column] = sum(call["kind"] == kind for call in record["calls"])
        self.row |= {"exit": exit_code, "cannot_say": len(record["cannot_say"])}
        self.row["age_hours"] = float(record["data"]["age_hours"])

    def ended(self) -> dict[str, Any]:
        """The whole row."""
        times = {f"{step}_seconds": self.seconds.get(step, "") for step in STEPS}
        return self.row | {"seconds": self.whole, "memory_mb": memory_mb()} | times


@contextmanager
def logged(folder: Path, log: RunLog, tell: Callable[[str], None]) -> Iterator[RunLog]:
    """Run with a row in the log at its end; a past night that is refused leaves none, nor does a course without nights.

    A log that cannot be written is told and stops nothing.
    """
    try:
        yield log
    except Exception as fault:
        log.row |= {"exit": REFUSED if isinstance(fault, Refused) else OUR_BUG}
        lines = str(fault).splitlines() or [""]
        log.row["said"] = redacted(
            lines[0] if isinstance(fault, Refused) else f"{type(fault).__name__}: {lines[0]}"
        )
        if log.tonight and (folder / "nights").is_dir():
            _write(folder, log, tell)
        raise
    _write(folder, log, tell)


def _write(folder: Path, log: RunLog, tell: Callable[[str], None]) -> None:
    try:
        write_log(folder, log.ended())
    except OSError as fault:
        reason = (fault.strerror or "it cannot be written").lower()
        tell(
            f"{folder / 'nights' / 'log.csv'}: {reason}; the run is not in the log: make room and check permissions"
        )
