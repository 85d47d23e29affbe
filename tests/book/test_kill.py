"""Killed at any write, in the midst of logging or of taking the inbox: nothing lost, nothing doubled."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from killing import Tell, integrity, run_killed, spread

from winterrisk.book import Room, Typed, note_observation, note_plug, open_book, take_inbox
from winterrisk.course import read_course

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="needs a process that can be forked and killed"
)

NOW = np.datetime64("2025-01-15T10:00:00")
NOTE = """14 jan
by Ann
4 low ice 2cm clear
4 low ise 2cm
plug 4 low A2 5cm
plug 4 low A2 growth 60
9 shade snow 30
"""
FEW = 10
MANY = pytest.param(200, marks=pytest.mark.slow)


def copies(folder: Path) -> Iterator[Path]:
    number = 0
    while True:
        number += 1
        home = folder.parent / f"try {number}"
        shutil.copytree(folder, home)
        yield home
        shutil.rmtree(home)


def log_lines(home: Path, tell: Tell) -> None:
    """Forty lines, each told once it is kept: observations with a plug now and then, in one book."""
    typed = Typed(NOW, "America/Chicago")
    with open_book(home) as book:
        for number in range(40):
            if number % 8 == 7:
                tell(
                    note_plug(book, f"4 low A{number} 5cm", typed, Room())
                    .split(",")[0]
                    .removeprefix("noted ")
                )
            else:
                tell(
                    note_observation(book, f"4 low ice {number + 1}mm", typed)
                    .split(":")[0]
                    .removeprefix("noted ")
                )


def kept(home: Path) -> list[str]:
    with open_book(home) as book:
        record = book.record()
    assert set(record.plugs["batch"]) <= set(record.batches["id"])
    return [str(id) for id in [*record.observations["id"], *record.plugs["id"]]]


def check_log(home: Path, told: list[str]) -> None:
    assert not any(line.startswith("fault") for line in told), told
    rows = kept(home)
    assert integrity(home / "book.sqlite") == "ok"
    assert set(told) <= set(rows) and len(rows) == len(set(rows)) <= len(told) + 1
    with open_book(home) as book:
        before = len(book.record().observations)
        note_observation(book, "4 low no ice", Typed(NOW, "America/Chicago"))
        assert len(book.record().observations) == before + 1


@pytest.mark.parametrize("number", [FEW, MANY])
def test_killed_before_a_counted_write_while_logging(folder: Path, number: int) -> None:
    homes = copies(folder)
    home = next(homes)
    told, killed = run_killed(lambda tell: log_lines(home, tell))
    total = int(told.pop())
    assert not killed and len(told) == 40 and total > 100
    check_log(home, told)
    for at in spread(total, number):
        home = next(homes)
        told, killed = run_killed(lambda tell, home=home: log_lines(home, tell), at=at)  # type: ignore[misc]
        assert killed and len(told) < 40
        check_log(home, told)


@pytest.mark.parametrize("number", [FEW, MANY])
def test_killed_in_the_midst_of_a_write_while_logging(folder: Path, number: int) -> None:
    """The system kills at the byte by which a file would grow past a limit: inside a page, inside a commit."""
    open_book(folder).close()
    homes = copies(folder)
    start = (folder / "book.sqlite").stat().st_size
    killed_ones = 0
    for step in range(1, number + 1):
        home = next(homes)
        size = start + step * 350_000 // number + 17 * step
        told, killed = run_killed(lambda tell, home=home: log_lines(home, tell), size=size)  # type: ignore[misc]
        killed_ones += killed
        check_log(home, told)
    assert killed_ones >= number // 2


def take(home: Path) -> None:
    course = read_course(home)
    with open_book(home, course=course) as book:
        take_inbox(home, book, course, NOW)


def taken_state(home: Path) -> dict[str, object]:
    with open_book(home) as book:
        record = book.record()
    inbox = home / "inbox"
    return {
        "rows": [len(t) for t in (record.observations, record.plugs, record.batches, record.looks)],
        "hash": record.hash(),
        "files": sorted(str(p.relative_to(inbox)) for p in inbox.rglob("*") if p.is_file()),
        "refused": (inbox / "refused" / "notes.txt").read_text(encoding="utf-8"),
    }


@pytest.mark.parametrize("number", [FEW, MANY])
def test_killed_while_the_inbox_is_taken_the_next_night_ends_the_work(folder: Path, number: int) -> None:
    (folder / "inbox").mkdir()
    (folder / "inbox" / "notes.txt").write_text(NOTE, encoding="utf-8")
    os.utime(folder / "inbox" / "notes.txt", (1736895600, 1736895600))
    homes = copies(folder)
    home = next(homes)
    told, _ = run_killed(lambda tell: take(home))
    total, wanted = int(told.pop()), taken_state(home)
    assert wanted["rows"] == [2, 1, 1, 1] and wanted["files"] == ["refused/notes.txt", "taken/notes.txt"]
    for at in spread(total, number):
        home = next(homes)
        _, killed = run_killed(lambda tell, home=home: take(home), at=at)  # type: ignore[misc]
        assert killed
        take(home)
        assert taken_state(home) == wanted
        assert integrity(home / "book.sqlite") == "ok"
