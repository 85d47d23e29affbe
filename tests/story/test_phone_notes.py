"""Phone notes and the night: taken before the call is worked, refused lines answered, corrections told."""

import os
from pathlib import Path

import numpy as np
import pytest
from small_courses import small_course

from winterrisk import nightly
from winterrisk.book import open_book

QUICK = nightly.Settings(n_ground=2, n_paths=2, n_draws=20)
AT_FIVE = np.datetime64("2024-01-15T11:00")
"""05:00 at the invented course."""
SAVED = (AT_FIVE - np.timedelta64(14, "h")).astype("datetime64[s]").astype(int)
"""Three in the afternoon of the day before."""


@pytest.fixture
def course(tmp_path: Path, sample: Path) -> Path:
    folder = small_course(tmp_path / "course", sample)
    (folder / "inbox").mkdir()
    return folder


def note(course: Path, text: str, name: str = "monday.txt") -> Path:
    path = course / "inbox" / name
    path.write_text(text, encoding="utf-8")
    os.utime(path, (SAVED, SAVED))
    return path


def work(course: Path, clock: np.datetime64 = AT_FIVE) -> nightly.Night:
    return nightly.run(course, clock=clock, send=False, settings=QUICK)


def seen(course: Path) -> list[tuple[str, str]]:
    with open_book(course) as book:
        rows = book.record().observations
    return list(zip(rows["zone"], rows["kind"], strict=True))


def test_a_note_counts_in_the_night_it_is_found_and_its_refused_line_is_answered(course: Path) -> None:
    work(course, AT_FIVE - np.timedelta64(24, "h"))
    note(course, "1 low ice 2cm clear\n1 lwo snow 30\n")
    night = work(course)
    assert seen(course) == [("1 low", "ice_seen")]
    (low,) = (z for z in night.record["data"]["zones"] if z["zone"] == "1 low")
    assert low["ice_mm"] >= 15, "what was seen sets the state of the same night"
    told = {n["kind"]: n["text"] for n in night.record["data"]["notices"]}
    assert told["corrected"].startswith("1 low: seen ice 20 mm, the night of 2024-01-14 had")
    assert "inbox/monday.txt line 2" in told["refused"] and "lwo" in told["refused"]
    assert "inbox/monday.txt line 2" in night.alert.replace("Inbox", "inbox")
    assert not (course / "inbox" / "monday.txt").exists()
    assert (course / "inbox" / "taken" / "monday.txt").exists()


def test_the_same_night_again_says_the_same_and_the_next_is_silent_of_it(course: Path) -> None:
    note(course, "1 lwo snow 30\n")
    first, again = work(course), work(course)
    assert again.folder == first.folder and again.record == first.record
    day_after = work(course, AT_FIVE + np.timedelta64(24, "h"))
    assert "refused" not in {n["kind"] for n in day_after.record["data"]["notices"]}


def test_a_past_night_leaves_the_notes_alone(course: Path) -> None:
    path = note(course, "1 low ice 2cm clear\n")
    nightly.run(course, np.datetime64("2024-01-12").astype(object), clock=AT_FIVE, send=False, settings=QUICK)
    assert path.exists() and seen(course) == []


def test_check_answers_refused_lines_too(course: Path, winterrisk_command) -> None:
    note(course, "1 lwo snow 30\n")
    work(course)
    code, out, _ = winterrisk_command("check", course)
    assert code == 0 and "inbox/refused/monday.txt: 1 refused" in out
