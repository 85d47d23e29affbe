"""Killed at any counted write of a whole night that sends: the next run loses no message and doubles none."""

import datetime as dt
import os
import shutil
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from killing import integrity, run_killed, spread
from post_office import QUICK, Letter, PostOffice, at, person
from small_courses import small_course

from winterrisk import nightly
from winterrisk.messages import open_outbox

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="needs a process that can be forked and killed"
)

MONDAY = at("2024-02-05T04:10")
"""A night of the small course with plugs to pull, the weekly digest, and a note that is not understood."""
SOME = pytest.param(12, 2)
MANY = pytest.param(300, 10, marks=pytest.mark.slow)
ONE_ZONE = replace(QUICK, zones=("1 low",))
LAST = "2024-02-05T10:00"
EACH = 3
"""Messages to each of the people: plugs to pull, the digest and the refused line."""


def people(office: PostOffice, number: int) -> str:
    """Sections for `number` people, by mail and by post in turn."""
    places = [office.hook if n % 2 else office.address(f"p{n}") for n in range(number)]
    return "".join(person(f"Person {n}", place) for n, place in enumerate(places))


@pytest.fixture
def winter(tmp_path: Path, sample: Path) -> Path:
    folder = small_course(tmp_path / "winter", sample, last=LAST)
    (folder / "inbox").mkdir()
    note = folder / "inbox" / "note.txt"
    note.write_text("1 low ice 2cm clear\n1 low ise 2cm\n", encoding="utf-8")
    saved = float((MONDAY - np.timedelta64(12, "h")).astype("datetime64[s]").astype(int))
    os.utime(note, (saved, saved))
    nightly.run(
        folder, dt.date(2024, 2, 4), clock=MONDAY - np.timedelta64(1, "D"), send=False, settings=QUICK
    )
    return folder


def work(home: Path, clock: np.datetime64 = MONDAY) -> nightly.Night:
    return nightly.run(home, clock=clock, settings=ONE_ZONE, allow_local=True)


def with_people(home: Path, office: PostOffice, number: int) -> Path:
    with (home / "course.toml").open("a", encoding="utf-8") as file:
        file.write(people(office, number))
    return home


def contents(letters: list[Letter]) -> Counter[tuple[str, str, str]]:
    """Who got which words, counting each id once."""
    return Counter(letter.content for letter in {letter.id: letter for letter in letters}.values())


def states(home: Path) -> list[str]:
    with open_outbox(home, "small-moor", write=False) as outbox:
        return [row.state for row in outbox.kept()]


@pytest.mark.parametrize(("number", "of_people"), [SOME, MANY])
def test_killed_before_a_counted_write_of_a_night_that_sends(
    winter: Path, office: PostOffice, number: int, of_people: int
) -> None:
    with_people(winter, office, of_people)
    messages = EACH * of_people
    whole = shutil.copytree(winter, winter.parent / "whole")
    told, _ = run_killed(lambda tell: work(whole) and None)
    total, wanted = int(told.pop()), contents(office.letters)
    assert wanted.total() == len(office.letters) == messages and states(whole) == ["sent"] * messages
    assert total >= number, total
    copies = 0
    for place in spread(total, number):
        home = shutil.copytree(winter, winter.parent / f"try {place}")
        office.letters.clear()
        _, killed = run_killed(lambda tell, home=home: work(home) and None, at=place)  # type: ignore[misc]
        assert killed
        before = list(office.letters)
        assert work(home).exit_code in (0, nightly.CANNOT_SAY)
        assert contents(office.letters) == wanted, "nothing is lost, and nothing else is said"
        twice = [id for id, n in Counter(letter.id for letter in office.letters).items() if n > 1]
        assert len(twice) <= 1 and all(id == before[-1].id for id in twice), (
            "only the message whose sending was under way may come a second time, known by the same id"
        )
        copies += len(twice)
        assert states(home) == ["sent"] * messages and integrity(home / "outbox.sqlite") == "ok"
        shutil.rmtree(home)
    print(f"{number} kills over {total} counted writes: {copies} second copies under the same id")


def test_killed_on_one_night_the_next_night_still_tells(
    winter: Path, office: PostOffice, sample: Path
) -> None:
    """The call that the killed night made is told by the night after it, to each once."""
    with_people(winter, office, 2)
    whole = shutil.copytree(winter, winter.parent / "whole")
    told, _ = run_killed(lambda tell: work(whole) and None)
    total = int(told.pop())
    assert sum(letter.headline.startswith("PULL PLUGS") for letter in office.letters) == 2
    for place in spread(total, 3):
        home = shutil.copytree(winter, winter.parent / f"try {place}")
        office.letters.clear()
        run_killed(lambda tell, home=home: work(home) and None, at=place)  # type: ignore[misc]
        day_more = small_course(winter.parent / f"weather {place}", sample, last="2024-02-06T10:00")
        shutil.copy(day_more / "station.csv", home)
        work(home, MONDAY + np.timedelta64(1, "D"))
        for name in ("p0", "hook"):
            calls = {letter.id for letter in office.to(name) if letter.headline.startswith("PULL PLUGS")}
            assert len(calls) == 1, place
        there = len(office.letters)
        work(home, MONDAY + np.timedelta64(1, "D"))
        assert len(office.letters) == there, "the same night again says nothing"
