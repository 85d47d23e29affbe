"""Killed at any write in the midst of a whole night: the next run ends the work, nothing lost or doubled."""

import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from killing import integrity, run_killed, spread

from winterrisk import nightly
from winterrisk.book import open_book

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="needs a process that can be forked and killed"
)

QUICK = nightly.Settings(n_ground=1, n_paths=2, n_draws=10, zones=("4 low",))
AT_FIVE = np.datetime64("2024-01-15T11:00")
SAVED = 1705266000
"""The afternoon before."""
FIRST, LAST = "2023-07-01T00:00", "2024-01-20T00:00"
OF_RUNS = ("log.csv", ".lock")
"""Files beside the nights that tell of runs, not of nights."""
FEW = 6
MANY = pytest.param(200, marks=pytest.mark.slow)


@pytest.fixture
def winter_folder(folder: Path, sample: Path) -> Path:
    """The course with a stretch of invented weather, a row in its book and a note in its inbox."""
    rows = (sample / "station.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [row for row in rows if row.startswith(("#", "time")) or FIRST <= row[:16] < LAST]
    (folder / "station.csv").write_text("".join(kept), encoding="utf-8")
    (folder / "inbox").mkdir()
    path = folder / "inbox" / "note.txt"
    path.write_text("4 low ice 2cm clear\n4 low ise 2cm\nplug 4 low A2 5cm\n", encoding="utf-8")
    os.utime(path, (SAVED, SAVED))
    return folder


def work(home: Path) -> None:
    nightly.run(home, clock=AT_FIVE, send=False, settings=QUICK)


def state(home: Path) -> dict[str, object]:
    with open_book(home) as book:
        record = book.record()
    nights, inbox = home / "nights", home / "inbox"
    return {
        "rows": [len(t) for t in (record.observations, record.plugs, record.batches)],
        "book": record.hash(),
        "notes": sorted(str(p.relative_to(inbox)) for p in inbox.rglob("*") if p.is_file()),
        "night": {
            str(p.relative_to(nights)): p.read_bytes()
            for p in nights.rglob("*")
            if p.is_file() and p.name not in OF_RUNS
        },
    }


@pytest.mark.parametrize("number", [FEW, MANY])
def test_killed_before_a_counted_write_of_a_night(winter_folder: Path, number: int) -> None:
    work(shutil.copytree(winter_folder, winter_folder.parent / "warm"))
    whole = shutil.copytree(winter_folder, winter_folder.parent / "whole")
    told, _ = run_killed(lambda tell: work(whole))
    total, wanted = int(told.pop()), state(whole)
    assert wanted["rows"] == [1, 1, 1] and total > 30
    assert set(wanted["night"]) == {
        f"2024-01-15/{n}" for n in ("alert.txt", "night.json", "page.html", "used.json")
    }
    for at in spread(total, number):
        home = shutil.copytree(winter_folder, winter_folder.parent / f"try {at}")
        _, killed = run_killed(lambda tell, home=home: work(home), at=at)  # type: ignore[misc]
        assert killed
        left = list((home / "nights").glob("2024-01-15/*")) if (home / "nights").exists() else []
        assert len(left) in (0, 4), "a night is there whole or not at all"
        work(home)
        ended = state(home)
        ended["night"] = {n: c for n, c in ended["night"].items() if not n.startswith(".writing-")}
        assert ended == wanted
        assert integrity(home / "book.sqlite") == "ok"
        shutil.rmtree(home)
