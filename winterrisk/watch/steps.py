"""How long each step of a run took."""

import time
from typing import Final

STEPS: Final = ("weather", "winters", "book", "column", "judged", "written", "sent")
"""Steps of a night in their order: what is received and read; possible winters; book and notes; the column of every
member; harm, outlook and plan; files; messages."""


class Stopwatch:
    """Seconds of each step, taken as it ends."""

    def __init__(self) -> None:
        self._began = self._last = time.perf_counter()
        self.seconds: dict[str, float] = {}

    def done(self, step: str) -> None:
        """A step ended now."""
        now = time.perf_counter()
        self.seconds[step] = self.seconds.get(step, 0.0) + now - self._last
        self._last = now

    @property
    def whole(self) -> float:
        """Seconds since the run began."""
        return time.perf_counter() - self._began
