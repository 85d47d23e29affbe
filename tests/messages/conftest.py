"""A small course with people, a night of it, and a post office."""

import copy
import datetime as dt
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), *(str(HERE.parent / name) for name in ("story", "book", "weather"))]

from post_office import QUICK, PostOffice, post_office  # noqa: E402
from small_courses import small_course  # noqa: E402

from winterrisk import nightly  # noqa: E402
from winterrisk.messages import send_waiting  # noqa: E402

Night = dict[str, Any]


@pytest.fixture
def office() -> Iterator[PostOffice]:
    with post_office() as there:
        yield there


@pytest.fixture(autouse=True)
def no_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    """Tries of one run follow each other at once."""
    monkeypatch.setattr(sys.modules[send_waiting.__module__], "PAUSES", [0.0, 0.0])


@pytest.fixture
def folder(tmp_path: Path, sample: Path) -> Path:
    return small_course(tmp_path / "course", sample)


@pytest.fixture(scope="session")
def real_night(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> Night:
    """What a real night of the small course said; nothing is called for on it."""
    folder = small_course(tmp_path_factory.mktemp("real") / "course", sample)
    return nightly.run(folder, dt.date(2024, 1, 15), send=False, settings=QUICK).record


@pytest.fixture
def night(real_night: Night) -> Callable[..., Night]:
    """Nights of other dates, calls (kind, zone, first asked, by) and notices, else as the real one."""

    def made(
        on: str,
        *calls: tuple[str, str, str, str],
        notices: tuple[tuple[str, str, str], ...] = (),
        **more: Any,
    ) -> Night:
        row = {
            "number": 3, "spots": ["low"], "reason": "day 41 under ice; ice", "chance": 0.3, "low": 0.2, "high": 0.5,
            "band": "parts", "until": "2024-03-10",
        }  # fmt: skip
        new: Night = (
            copy.deepcopy(real_night) | {"on": on, "calls": [], "cannot_say": [], "held_back": []} | more
        )
        new["calls"] = [row | {"kind": k, "zone": z, "since": s, "by": b} for k, z, s, b in calls]
        new["data"]["notices"] = [{"kind": k, "zone": z, "text": t} for k, z, t in notices]
        return new

    return made
