"""The file: foreign, damaged and unwritable ones refused; CSV taken in once; two writers at once."""

import multiprocessing
import os
import signal
import sqlite3
import subprocess
import sys
import textwrap
from pathlib import Path

import numpy as np
import pytest

from winterrisk.book import BookError, Typed, note_observation, open_book
from winterrisk.book.schema import APPLICATION_ID, MIGRATIONS, VERSION
from winterrisk.book.write_file import migrate

SEEN = "time,area,zone,kind,value,unit,share,detail,who,known\n"


def csv(folder: Path, name: str, text: str) -> None:
    (folder / "book").mkdir(exist_ok=True)
    (folder / "book" / name).write_text(text, encoding="utf-8")


def observe(book: object, minute: int, who: str) -> None:
    book.add_observation(  # type: ignore[attr-defined]
        known="2025-01-15",
        time=f"2025-01-14T{minute // 60:02d}:{minute % 60:02d}",
        area="4",
        zone="low",
        kind="no_ice",
        who=who,
    )


def test_a_new_book_is_marked_and_of_this_version(folder: Path) -> None:
    open_book(folder).close()
    with sqlite3.connect(folder / "book.sqlite") as file:
        assert file.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        assert file.execute("PRAGMA user_version").fetchone()[0] == VERSION
        assert file.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    file.close()
    assert sorted(p.name for p in folder.iterdir()) == ["book.sqlite", "course.toml"]


@pytest.mark.parametrize("start", range(VERSION + 1))
def test_a_book_of_every_earlier_version_becomes_one_of_today(start: int) -> None:
    file = sqlite3.connect(":memory:", isolation_level=None)
    migrate(file, start)
    assert migrate(file) == start
    fresh = sqlite3.connect(":memory:", isolation_level=None)
    migrate(fresh)
    shape = "SELECT name, sql FROM sqlite_schema ORDER BY name"
    assert file.execute(shape).fetchall() == fresh.execute(shape).fetchall()
    assert len(MIGRATIONS) == VERSION


def foreign(path: Path, kind: str) -> None:
    if kind == "text":
        path.write_text("this is my diary " * 50, encoding="utf-8")
        return
    with sqlite3.connect(path) as file:
        file.execute("CREATE TABLE observations (id INTEGER)")
        if kind == "later":
            file.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            file.execute(f"PRAGMA user_version = {VERSION + 1}")
    file.close()


@pytest.mark.parametrize(
    ("kind", "words"),
    [("text", "no database"), ("other", "another program's"), ("later", f"version {VERSION + 1}")],
)
def test_a_foreign_file_is_refused_and_left_as_it_was(folder: Path, kind: str, words: str) -> None:
    path = folder / "book.sqlite"
    foreign(path, kind)
    before = path.read_bytes()
    with pytest.raises(BookError, match=words):
        open_book(folder)
    assert path.read_bytes() == before
    assert sorted(p.name for p in folder.iterdir()) == ["book.sqlite", "course.toml"]


@pytest.mark.parametrize(
    "planted",
    [
        "CREATE TRIGGER t AFTER INSERT ON observations BEGIN DELETE FROM plugs; END",
        "CREATE VIEW v AS SELECT * FROM plugs",
    ],
)
def test_a_book_with_planted_views_or_triggers_is_refused(folder: Path, planted: str) -> None:
    open_book(folder).close()
    with sqlite3.connect(folder / "book.sqlite") as file:
        file.execute(planted)
    file.close()
    with pytest.raises(BookError, match="views or triggers"):
        open_book(folder)


def test_a_damaged_book_is_refused(folder: Path) -> None:
    with open_book(folder) as book:
        for minute in range(200):
            observe(book, minute, "x" * 200)
    path = folder / "book.sqlite"
    content = bytearray(path.read_bytes())
    content[8192:24576] = b"\x55" * 16384
    path.write_bytes(bytes(content))
    with pytest.raises(BookError, match=r"damaged|does not open"):
        open_book(folder)


def test_a_folder_that_is_not_there_or_not_writable_is_refused(folder: Path) -> None:
    with pytest.raises(BookError, match="no such folder"):
        open_book(folder / "nowhere")
    if not Path("/proc/self/attr").is_dir():
        pytest.skip("no folder that nobody can write")
    with pytest.raises(BookError, match=r"cannot be written|does not open"):
        open_book("/proc/self/attr")


@pytest.mark.skipif(
    os.name != "posix" or os.geteuid() == 0, reason="the rights of files do not bind this user"
)
def test_a_folder_without_write_permission_is_refused(folder: Path) -> None:
    folder.chmod(0o555)
    try:
        with pytest.raises(BookError, match="cannot be written"):
            open_book(folder)
    finally:
        folder.chmod(0o755)
    assert [p.name for p in folder.iterdir()] == ["course.toml"]


def test_csv_is_taken_in_once(folder: Path) -> None:
    csv(folder, "observations.csv", f"# Invented.\n{SEEN}2025-01-14T09:00,4,low,ice_seen,2,cm,,clear,Ann,\n")
    csv(folder, "batches.csv", "id,warm_from,temperature\nB1,2025-01-14T20:00,19\n")
    csv(folder, "plugs.csv", "id,area,zone,cut,batch,control\n7,4,low,2025-01-14T15:00,B1,no\n")
    csv(folder, "looks.csv", "plug,time,species,new_growth\n7,2025-01-20T15:00,all,0.25\n")
    csv(folder, "surveys.csv", "date,area,zone,dead_low,dead_high,cause\n2025-04-20,4,low,0.05,0.1,ice\n")
    with open_book(folder) as book:
        first = book.record()
    assert first.observations[["value", "unit", "share"]].values.tolist() == [[20.0, "mm", 1.0]]
    assert str(first.observations["known"].iloc[0]) == "2025-01-14 10:00:00"
    assert str(first.surveys["known"].iloc[0]) == "2025-04-21 01:00:00"
    assert first.looks["plug"].tolist() == ["7"]
    csv(folder, "observations.csv", f"{SEEN}2025-01-15T09:00,4,low,no_ice,,,,,Ann,\n")
    with open_book(folder) as book:
        assert book.record().hash() == first.hash()


def test_without_create_nothing_is_written(folder: Path) -> None:
    csv(folder, "observations.csv", f"{SEEN}2025-01-14T09:00,4,low,no_ice,,,,,Ann,\n")
    with open_book(folder, create=False) as book:
        assert len(book.record().observations) == 1
    assert not (folder / "book.sqlite").exists()


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        (
            "observations.csv",
            f"{SEEN}2025-01-14T09:00,4,lowe,no_ice,,,,,Ann,\n",
            "line 2, zone.*did you mean 4 low",
        ),
        (
            "observations.csv",
            f"{SEEN}2025-01-14T09:00,4,low,no_ice,,,1.5,,Ann,\n",
            "line 2, share: found 1.5",
        ),
        ("observations.csv", f"{SEEN}14/01/2025,4,low,no_ice,,,,,Ann,\n", "line 2, time"),
        ("observations.csv", f"{SEEN}2025-01-14T09:00,4,low,no_ice,,,,,Ann,soon\n", "line 2, known"),
        ("observations.csv", f"{SEEN}2025-01-14T09:00,4,low\n", "line 2: found 3 values"),
        ("observations.csv", "tyme,area,zone,kind\n", "did you mean time"),
        ("observations.csv", "", "an empty file"),
        ("observations.csv", "time,area,zone,kind\n\x00\x01", "no text"),
        ("observation.csv", SEEN, "did you mean observations.csv"),
        ("looks.csv", "plug,time,new_growth\n9,2025-01-14T09:00,0.5\n", "looks.csv line 2, plug"),
        ("plugs.csv", "id,area,zone,cut\n1,4,low,2025-01-14\n1,4,low,2025-01-14\n", "plugs.csv line 3"),
        ("plugs.csv", 'id,area,zone,cut\n1,4,"low,2025-01-14\n', "lone quote"),
    ],
)
def test_a_csv_fault_is_named_by_file_and_line_and_nothing_is_kept(
    folder: Path, name: str, text: str, words: str
) -> None:
    csv(folder, "surveys.csv", "date,area,zone,dead_low,dead_high\n2025-04-20,4,low,0.05,0.1\n")
    csv(folder, name, text)
    with pytest.raises(BookError, match=words):
        open_book(folder)
    assert not (folder / "book.sqlite").exists()


def test_all_faults_of_all_files_are_named_at_once(folder: Path) -> None:
    csv(
        folder,
        "observations.csv",
        f"{SEEN}2025-01-14,4,lowe,no_ice,,,,,Ann,\n2025-01-14,4,low,no_ise,,,,,Ann,\n",
    )
    csv(folder, "surveys.csv", "date,area,zone,dead_low,dead_high\n2025-04-20,4,low,0.5,0.1\n")
    with pytest.raises(BookError) as refused:
        open_book(folder)
    assert len(refused.value.faults) == 3


def test_a_folder_that_cannot_carry_a_write_ahead_log_gets_a_journal(folder: Path) -> None:
    """As on some synced and network folders: the file of shared memory cannot be made."""
    (folder / "book.sqlite-shm").mkdir()
    for number in (1, 2):
        with open_book(folder) as book:
            assert book.connection.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
            note_observation(
                book, "4 low no ice", Typed(np.datetime64("2025-01-15T10:00:00"), "America/Chicago")
            )
            assert len(book.record().observations) == number


def test_a_file_with_thousands_of_faults_tells_the_first_hundred(folder: Path) -> None:
    row = "2025-01-14,4,lowe,no_ice,,,,,Ann,\n"
    csv(folder, "observations.csv", SEEN + 2000 * row)
    with pytest.raises(BookError) as refused:
        open_book(folder)
    assert len(refused.value.faults) == 101
    assert "1900 faults more; correct these first" in str(refused.value.faults[-1])


def test_a_byte_order_mark_is_no_fault(folder: Path) -> None:
    (folder / "book").mkdir()
    text = f"{SEEN}2025-01-14T09:00,4,low,no_ice,,,,,Ann,\n"
    (folder / "book" / "observations.csv").write_bytes(b"\xef\xbb\xbf" + text.encode())
    with open_book(folder) as book:
        assert len(book.record().observations) == 1


def _write_many(folder: str, who: str, start: int) -> None:
    with open_book(folder) as book:
        for minute in range(start, start + 60):
            observe(book, minute, who)


def test_two_processes_writing_at_once_are_both_kept(folder: Path) -> None:
    """Both also race to begin the book."""
    context = multiprocessing.get_context("spawn")
    writers = [
        context.Process(target=_write_many, args=(str(folder), w, s)) for w, s in (("Ann", 0), ("Bo", 60))
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
    assert [writer.exitcode for writer in writers] == [0, 0]
    with open_book(folder) as book:
        seen = book.record().observations
    assert seen.groupby("who").size().to_dict() == {"Ann": 60, "Bo": 60}
    assert seen["time"].nunique() == 120 and seen["id"].is_unique


@pytest.mark.skipif(os.name != "posix", reason="kills a process of its own")
def test_a_writer_killed_at_any_moment_loses_no_told_row(folder: Path) -> None:
    """The writer prints each id once it is kept; after the kill every printed row is there, once."""
    code = textwrap.dedent(
        f"""
        from winterrisk.book import open_book
        with open_book({str(folder)!r}) as book:
            for minute in range(1400):
                print(book.add_observation(known="2025-01-15", area="4", zone="low", kind="no_ice",
                      time=f"2025-01-14T{{minute // 60:02d}}:{{minute % 60:02d}}"), flush=True)
        """
    )
    writer = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    assert writer.stdout is not None
    told = [int(writer.stdout.readline()) for _ in range(100)]
    writer.send_signal(signal.SIGKILL)
    told += [int(line) for line in writer.stdout.read().split()]
    writer.wait()
    with open_book(folder) as book:
        kept = book.record().observations["id"].tolist()
        assert book._connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert set(told) <= set(kept) and len(kept) == len(set(kept)) <= len(told) + 1
