"""Phone notes: taken once, refused lines answered, whatever a synced folder does to the files."""

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from winterrisk.book import Book, Taken, open_book, refused_lines, refused_notes, take_inbox
from winterrisk.course import Course, read_course

NOW = np.datetime64("2025-01-15T10:00:00")
SAVED = np.datetime64("2025-01-14T21:00:00")
"""Three in the afternoon of 14 January on the invented course."""

Night = Callable[..., Taken]


@pytest.fixture
def course(folder: Path) -> Course:
    return read_course(folder)


@pytest.fixture
def book(folder: Path, course: Course) -> Book:
    with open_book(folder, course=course) as opened:
        yield opened  # type: ignore[misc]


@pytest.fixture
def write(folder: Path) -> Callable[..., Path]:
    def file(name: str, content: str | bytes, saved: np.datetime64 = SAVED) -> Path:
        path = folder / "inbox" / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        seconds = int(saved.astype("datetime64[s]").astype(int))
        os.utime(path, (seconds, seconds))
        return path

    return file


@pytest.fixture
def night(folder: Path, book: Book, course: Course) -> Night:
    return lambda now=NOW: take_inbox(folder, book, course, now)


def files(folder: Path) -> list[str]:
    inbox = folder / "inbox"
    return sorted(str(p.relative_to(inbox)) for p in inbox.rglob("*") if p.is_file())


def seen(book: Book) -> list[tuple[str, str, float, str]]:
    rows = book.record().observations.fillna({"value": -1.0})
    return list(zip(rows["zone"], rows["kind"], rows["value"], rows["time"].astype(str), strict=True))


def test_a_note_is_taken_moved_and_said_back(folder: Path, book: Book, write: Callable, night: Night) -> None:
    write("notes.txt", "by Ann\n4 low ice 2cm clear\n- 9 shade snow 30 yesterday\n\nplug 4 low A2 5cm\n")
    taken = night()
    assert [line.said for line in taken.noted] == [
        "noted 1: 4 low, ice 20 mm clear, 2025-01-14 15:00 by Ann",
        "noted 2: 9 afternoon shade, snow 30 cm, 2025-01-13 12:00 by Ann",
        "noted P1, 4 low A2, 50 mm deep, cut 2025-01-14 15:00 by Ann, batch 2025-01-14; "
        "batch 2025-01-14 begun: sill, in the warm from 2025-01-15 07:00; "
        "note how warm it is at the plugs: plug DIR batch '2025-01-14' --temperature 18",
    ]
    assert taken.refused == () and files(folder) == ["taken/notes.txt"]
    assert set(book.record().observations["known"].astype(str)) == {"2025-01-15 10:00:00"}
    assert night() == Taken()


def test_refused_lines_change_nothing_and_are_answered(
    folder: Path, book: Book, write: Callable, night: Night
) -> None:
    write("notes.txt", "4 low ise 2cm\n4 low ice 2cm\n4 low ice 900 cm\n4 low ice 3cm 2099-01-01\n")
    taken = night()
    assert seen(book) == [("4 low", "ice_seen", 20.0, "2025-01-14 21:00:00")]
    assert [line.number for line in taken.refused] == [1, 3, 4]
    assert str(taken.refused[0]).startswith("inbox/notes.txt line 1: ") and "did you mean ice" in str(
        taken.refused[0]
    )
    assert "0 to 500 mm" in taken.refused[1].refused and "in the future" in taken.refused[2].refused
    kept = (folder / "inbox" / "refused" / "notes.txt").read_text(encoding="utf-8").splitlines()
    assert kept[0].startswith("# line 1, ") and kept[2::3] == [
        "4 low ise 2cm",
        "4 low ice 900 cm",
        "4 low ice 3cm 2099-01-01",
    ]
    (said,) = refused_notes(folder)
    assert (
        said.startswith("inbox/refused/notes.txt: 3 refused, the first: line 1")
        and "move it into inbox" in said
    )
    assert night() == Taken()


def test_what_a_night_tells_of_refusals_is_the_same_when_it_is_worked_again(
    book: Book, write: Callable, night: Night
) -> None:
    day = np.timedelta64(1, "D")
    write("notes.txt", "4 low ise 2cm\n4 low no ice\n")
    told = night().refused
    assert refused_lines(book, NOW - day, NOW) == told and len(told) == 1
    assert refused_lines(book, NOW, NOW + day) == ()
    assert refused_lines(book, NOW - 2 * day, NOW - day) == ()


def test_a_corrected_refusal_can_be_put_back(folder: Path, book: Book, write: Callable, night: Night) -> None:
    write("notes.txt", "4 low ise 2cm\n4 low snow 5cm\n")
    night()
    kept = folder / "inbox" / "refused" / "notes.txt"
    text = kept.read_text(encoding="utf-8").replace("ise 2cm\n", "ice 2cm\n")
    kept.unlink()
    write("notes.txt", text, SAVED + np.timedelta64(1, "D"))
    taken = night(NOW + np.timedelta64(1, "D"))
    assert [line.line for line in taken.noted] == ["4 low ice 2cm"] and taken.refused == ()
    assert [row[3] for row in seen(book)] == ["2025-01-14 21:00:00", "2025-01-14 18:00:00"], "keeps its day"
    assert len(files(folder)) == 2 and all(f.startswith("taken/") for f in files(folder))


def test_a_growing_note_gives_its_new_lines_only(book: Book, write: Callable, night: Night) -> None:
    write("notes.txt", "4 low ice 2cm\n")
    night()
    write("notes.txt", "4 low ice 2cm\n4 low ise\n4 low ice 3cm\n", SAVED + np.timedelta64(1, "D"))
    second = night(NOW + np.timedelta64(1, "D"))
    write(
        "notes.txt", "4 low ice 2cm\n4 low ise\n4 low ice 3cm\n9 shade bare\n", SAVED + np.timedelta64(2, "D")
    )
    third = night(NOW + np.timedelta64(2, "D"))
    assert [line.line for line in second.noted] == ["4 low ice 3cm"] and len(second.refused) == 1
    assert [line.line for line in third.noted] == ["9 shade bare"] and third.refused == ()
    assert [row[3][:10] for row in seen(book)] == ["2025-01-14", "2025-01-15", "2025-01-16"]


@pytest.mark.parametrize(
    "name",
    [
        "notes (1).txt",
        "notes (Ann's conflicted copy 2025-01-14).txt",
        "notes.sync-conflict-20250114-210000-ABCDEFG.txt",
        "notes_conflict.txt",
        "NOTES.TXT",
    ],
)
def test_a_second_copy_of_a_note_is_not_taken_twice(
    folder: Path, book: Book, write: Callable, night: Night, name: str
) -> None:
    write("notes.txt", "4 low ice 2cm\nplug 4 low A2\n")
    write(name, "4 low ice 2cm\nplug 4 low A2\n4 low snow 9cm\n")
    night()
    record = book.record()
    assert (len(record.observations), len(record.plugs)) == (2, 1)
    assert len(files(folder)) == 2 and all(f.startswith("taken/") for f in files(folder))


def test_two_people_may_say_the_same(book: Book, write: Callable, night: Night) -> None:
    write("ann.txt", "4 low no ice\n")
    write("bo.txt", "4 low no ice\n", SAVED + np.timedelta64(1, "h"))
    night()
    assert len(book.record().observations) == 2


def test_the_same_note_again_on_a_later_day_is_asked_about_once(
    book: Book, write: Callable, night: Night
) -> None:
    week = np.timedelta64(7, "D")
    write("notes.txt", "4 low no ice\n9 shade bare\n")
    night()
    write("notes.txt", "9 shade bare\n", SAVED + week)
    (asked,) = night(NOW + week).refused
    assert len(seen(book)) == 2
    assert "taken on 2025-01-15" in str(asked) and "write the day beside them" in str(asked)
    write("notes.txt", "9 shade bare\n", SAVED + week)
    assert night(NOW + week) == Taken()
    write("notes.txt", "9 shade bare 21 jan\n", SAVED + week)
    assert len(night(NOW + week).noted) == 1


def test_a_note_put_back_by_the_synced_folder_is_moved_and_not_told_again(
    folder: Path, book: Book, write: Callable, night: Night
) -> None:
    write("notes.txt", "4 low no ice\n4 low ise\n")
    assert len(night().refused) == 1
    write("notes.txt", "4 low no ice\n4 low ise\n")
    assert night() == Taken() and len(seen(book)) == 1
    assert files(folder) == ["refused/notes.txt", "taken/notes.txt"]


def test_a_dated_line_is_taken_again_on_another_day(book: Book, write: Callable, night: Night) -> None:
    write("notes.txt", "13 jan\n4 low no ice\n14 jan\n4 low no ice\n14 jan\n4 low no ice\n")
    night()
    assert [row[3][:10] for row in seen(book)] == ["2025-01-13", "2025-01-14", "2025-01-14"]
    write("notes.txt", "13 jan\n4 low no ice\n", SAVED + np.timedelta64(3, "h"))
    assert night() == Taken() and len(seen(book)) == 3


@pytest.mark.parametrize(
    ("heading", "day"),
    [
        ("2025-01-12", "2025-01-12"),
        ("12 jan:", "2025-01-12"),
        ("Sunday 12 Jan", "2025-01-12"),
        ("yesterday", "2025-01-13"),
        ("Friday", "2025-01-10"),
    ],
)
def test_a_day_alone_holds_for_the_lines_under_it(
    book: Book, write: Callable, night: Night, heading: str, day: str
) -> None:
    write("notes.txt", f"{heading}\n4 low no ice\n")
    night()
    assert [row[3][:10] for row in seen(book)] == [day]


@pytest.mark.parametrize(
    "heading", ["12/01/2025", "31 feb", "Monday 12 jan", "12.1.2025", "14 jan morning walk", "2025-13-01"]
)
def test_a_day_not_understood_spoils_the_lines_under_it(
    book: Book, write: Callable, night: Night, heading: str
) -> None:
    write("notes.txt", f"{heading}\n4 low no ice\n13 jan\n9 shade bare\n")
    taken = night()
    assert [line.number for line in taken.refused] == [1, 2] and "not understood" in taken.refused[1].refused
    assert [row[0] for row in seen(book)] == ["9 afternoon shade"]


def test_a_day_in_the_file_name_holds_for_all(book: Book, write: Callable, night: Night) -> None:
    write("2025-01-11 walk.txt", "4 low no ice\n")
    night()
    assert seen(book)[0][3] == "2025-01-11 18:00:00"


def test_an_old_note_without_days_is_not_guessed(book: Book, write: Callable, night: Night) -> None:
    write(
        "old.txt",
        "4 low no ice\n4 low bare yesterday\nfriday\n4 low no ice\n3 jan\n4 low bare\n",
        np.datetime64("1980-01-01"),
    )
    write("ahead.txt", "9 shade bare\n", np.datetime64("2031-01-01"))
    taken = night()
    assert [line.number for line in taken.refused] == [
        1,
        2,
        4,
    ] and "write its day beside it" in taken.refused[0].refused
    assert [(row[0], row[3]) for row in seen(book)] == [
        ("9 afternoon shade", "2025-01-15 10:00:00"),
        ("4 low", "2025-01-03 18:00:00"),
    ]


def test_a_note_saved_after_the_night_counts_from_its_saving(
    book: Book, write: Callable, night: Night
) -> None:
    write("notes.txt", "4 low no ice\n", NOW + np.timedelta64(2, "h"))
    assert len(night().noted) == 1
    assert len(book.record(known_by=NOW).observations) == 0
    assert len(book.record(known_by=NOW + np.timedelta64(2, "h")).observations) == 1


@pytest.mark.parametrize(
    "content",
    [
        b"\xef\xbb\xbf4 low ice 2cm\r\n9 shade snow 30\r\n",
        "4 low ice 2cm\n9 shade snow 30".encode("utf-16"),
        b"4 low ice 2cm\r9 shade snow 30\r",
        "4 low ice 2\u202fcm\u20289 shade snow 30".encode(),
        "\u2022 4 low ice 2cm \u2013 \n\u2022\t9 shade snow 30".encode(),
        "4 low ice 2cm\n9 shade snow 30 \x96 the".encode("latin-1"),
    ],
)
def test_odd_encodings_and_line_ends(book: Book, write: Callable, night: Night, content: bytes) -> None:
    write("notes.txt", content)
    taken = night()
    assert taken.refused == ()
    assert [row[:3] for row in seen(book)] == [
        ("4 low", "ice_seen", 20.0),
        ("9 afternoon shade", "snow_depth_seen", 30.0),
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\x00\x01\x02" * 50, "no text"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4, "no text"),
        (b"4 low no ice\n" * 30_000, "a note of 256 kB"),
        (b"4 low no ice\n" * 3_000, "a note of 3001 lines"),
        (b"\xff\xfe4", "no text"),
    ],
)
def test_what_is_no_note_is_put_aside_whole(
    folder: Path, book: Book, write: Callable, night: Night, content: bytes, words: str
) -> None:
    write("notes.txt", content)
    (refused,) = night().refused
    assert words in str(refused) and str(refused).startswith("inbox/notes.txt: ")
    assert files(folder) == ["refused/notes.unread.txt"] and seen(book) == []
    assert (folder / "inbox" / "refused" / "notes.unread.txt").read_bytes() == content
    assert len(refused_notes(folder)) == 1


def test_links_folders_and_unfinished_files_are_left(
    folder: Path, book: Book, write: Callable, night: Night
) -> None:
    outside = folder / "outside.txt"
    outside.write_text("4 low no ice\n", encoding="utf-8")
    write(".notes.txt", "4 low no ice\n")
    write("~notes.txt", "4 low no ice\n")
    write("notes.md", "4 low no ice\n")
    (folder / "inbox" / "link.txt").symlink_to(outside)
    (folder / "inbox" / "folder.txt").mkdir()
    assert night() == Taken() and seen(book) == [] and outside.exists()


@pytest.mark.parametrize("planted", ["refused/notes.txt", "refused/.notes.txt.writing", "taken/notes.txt"])
def test_a_link_where_a_note_is_kept_leads_nowhere(
    folder: Path, book: Book, write: Callable, night: Night, planted: str
) -> None:
    """In a shared inbox: what a planted link leads to is neither read into the inbox nor written over."""
    mine = folder / "mine.txt"
    mine.write_text("# line 9, my own\nsecret\n", encoding="utf-8")
    link = folder / "inbox" / planted
    link.parent.mkdir(parents=True)
    link.symlink_to(mine)
    write("notes.txt", "4 low ice 2cm\n4 low ise 2cm\n")
    assert len(night().refused) == 1 and len(seen(book)) == 1
    assert mine.read_text(encoding="utf-8") == "# line 9, my own\nsecret\n"
    kept = folder / "inbox" / "refused" / "notes.txt"
    assert not kept.is_symlink() and "4 low ise 2cm" in kept.read_text(encoding="utf-8")
    assert "secret" not in kept.read_text(encoding="utf-8") and len(refused_notes(folder)) == 1


@pytest.mark.parametrize("name", ["taken", "refused"])
def test_a_folder_of_the_inbox_that_is_a_link_is_not_written_to(
    folder: Path, book: Book, write: Callable, night: Night, tmp_path: Path, name: str
) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "old.txt").write_text("# line 1, theirs\n", encoding="utf-8")
    (folder / "inbox").mkdir()
    (folder / "inbox" / name).symlink_to(elsewhere)
    write("notes.txt", "4 low ice 2cm\n4 low ise 2cm\n")
    assert len(night().refused) == 1 and len(seen(book)) == 1
    night()
    assert [p.name for p in elsewhere.iterdir()] == ["old.txt"] and len(seen(book)) == 1
    assert not any("theirs" in line for line in refused_notes(folder))


def test_no_inbox_is_no_fault(night: Night) -> None:
    assert night() == Taken()


def test_a_long_line_is_refused_whole(book: Book, write: Callable, night: Night) -> None:
    write("notes.txt", "4 low ice 2cm " + "the " * 200 + "not\n")
    assert "up to 400" in night().refused[0].refused and seen(book) == []


def test_a_note_of_many_lines_is_one_transaction_and_quick(book: Book, write: Callable, night: Night) -> None:
    write(
        "notes.txt",
        "".join(f"4 low ice {1 + i % 90}mm 13 jan {i // 60 % 24}:{i % 60:02d}\n" for i in range(400)),
    )
    assert len(night().noted) == 400 and len(seen(book)) == 400
