"""A copy of the whole book, and older books brought up to date with all their rows."""

import multiprocessing
import sqlite3
import struct
from pathlib import Path

import pytest
from killing import integrity

from winterrisk.book import Book, BookError, open_book, restore_backup, write_backup
from winterrisk.book.schema import APPLICATION_ID, MIGRATIONS, VERSION
from winterrisk.book.write_file import migrate

SEEN = {"time": "2025-01-14T09:00", "area": "4", "zone": "low", "kind": "no_ice"}


def note(book: Book, who: str) -> None:
    book.add_observation(known="2025-01-15", who=who, **SEEN)


def test_a_backup_is_whole_and_is_put_back(folder: Path, book: Book) -> None:
    note(book, "Ann")
    before = book.record().hash()
    backup = write_backup(book, folder / "kept.sqlite")
    assert integrity(backup) == "ok" and not list(folder.glob("*.writing"))
    note(book, "Bo")
    after = book.record().hash()
    kept = restore_backup(book, backup)
    assert book.record().hash() == before and kept.name == "book.before-1.sqlite"
    restore_backup(book, kept)
    assert book.record().hash() == after
    note(book, "Cy")
    book.close()
    assert integrity(folder / "book.sqlite") == "ok"
    with open_book(folder) as again:
        assert list(again.record().observations["who"]) == ["Ann", "Bo", "Cy"]


def _write_on(folder: str, number: int) -> None:
    with open_book(folder) as book:
        for _ in range(number):
            note(book, "Ann")


def test_a_backup_taken_while_another_process_writes_is_whole(folder: Path, book: Book) -> None:
    writer = multiprocessing.get_context("spawn").Process(target=_write_on, args=(str(folder), 100))
    writer.start()
    number = 0
    while writer.is_alive():
        number += 1
        backup = write_backup(book, folder / f"kept{number}.sqlite")
        assert integrity(backup) == "ok"
    assert writer.exitcode == 0 and number > 0 and len(book.record().observations) == 100


def test_the_book_is_no_target_of_its_own_backup(folder: Path, book: Book) -> None:
    with pytest.raises(BookError, match="the book itself"):
        write_backup(book, folder / "book.sqlite")
    with pytest.raises(BookError, match="cannot be written"):
        write_backup(book, folder / "nowhere" / "kept.sqlite")


def foreign(path: Path, kind: str) -> Path:
    if kind == "nothing":
        return path
    if kind == "text":
        path.write_text("this is my diary " * 50, encoding="utf-8")
        return path
    if kind == "empty":
        path.write_bytes(b"")
        return path
    file = sqlite3.connect(path)
    file.isolation_level = None
    if kind != "other":
        migrate(file)
    else:
        file.execute("CREATE TABLE observations (id INTEGER)")
    if kind == "later":
        file.execute(f"PRAGMA user_version = {VERSION + 1}")
    if kind == "trigger":
        file.execute("CREATE TRIGGER t AFTER INSERT ON observations BEGIN DELETE FROM plugs; END")
    if kind == "view":
        file.execute("CREATE VIEW v AS SELECT * FROM plugs")
    file.close()
    if kind == "damaged":
        content = bytearray(path.read_bytes())
        content[8192:20480] = b"\x55" * 12288
        path.write_bytes(bytes(content))
    return path


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("nothing", "no such file"), ("text", "no database"), ("empty", "an empty file"),
        ("other", "another program's"),
        ("later", f"version {VERSION + 1}"), ("trigger", "views or triggers"), ("view", "views or triggers"),
        ("damaged", "damaged|failed|malformed"),
    ],
)  # fmt: skip
def test_what_is_no_backup_is_refused_and_the_book_left(
    folder: Path, book: Book, kind: str, words: str
) -> None:
    note(book, "Ann")
    before = book.record().hash()
    with pytest.raises(BookError, match=words):
        restore_backup(book, foreign(folder / "kept.sqlite", kind))
    assert book.record().hash() == before and not list(folder.glob("book.before*"))


CUT, LEARNED = "2025-01-14T08:00:00", "2025-01-14T09:00:00"
PLUG = {"area": "4", "zone": "low", "cut": CUT, "batch": "B1", "known": LEARNED}
OLD_ROWS = (
    ("batches", {"id": "B1", "known": LEARNED}),
    ("plugs", {"id": "P1", **PLUG}),
    ("plugs", {"id": "P1/1", "corrects": "P1", "crowns": "no", **PLUG}),
    ("looks", {"plug": "P1", "time": CUT, "new_growth": 0.5, "known": LEARNED}),
    ("observations", {"time": CUT, "area": "4", "zone": "low", "kind": "no_ice", "known": LEARNED}),
    (
        "surveys",
        {"winter": "2024-25", "date": "2025-04-20", "area": "4", "zone": "low", "dead_low": 0.1, "dead_high": 0.2,
         "known": "2025-04-21T00:00:00"},
    ),
    ("decisions", {"time": CUT, "text": "wait", "known": LEARNED}),
)  # fmt: skip


def old_book(path: Path, version: int) -> None:
    """A book as version `version` of the tables wrote it, with a row in every table it had then."""
    file = sqlite3.connect(path)
    file.isolation_level = None
    migrate(file, version)
    for table, row in OLD_ROWS:
        holes = ", ".join("?" * len(row))
        file.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({holes})", list(row.values()))
    file.close()


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_book_of_every_earlier_version_keeps_its_rows(folder: Path, version: int) -> None:
    old_book(folder / "book.sqlite", version)
    with open_book(folder) as book:
        record = book.record()
        assert (record.plugs["crowns"].tolist(), record.looks["new_growth"].tolist()) == (["no"], [0.5])
        assert [len(t) for t in (record.observations, record.surveys, record.decisions, record.batches)] == [
            1,
            1,
            1,
            1,
        ]
        note(book, "Ann")
        assert book.connection.execute("PRAGMA foreign_key_check").fetchall() == []
    header = (folder / "book.sqlite").read_bytes()[:100]
    assert struct.unpack(">I", header[60:64])[0] == VERSION == len(MIGRATIONS)
    assert struct.unpack(">I", header[68:72])[0] == APPLICATION_ID


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_backup_of_every_earlier_version_is_put_back_and_brought_up_to_date(
    folder: Path, book: Book, version: int
) -> None:
    old_book(folder / "old.sqlite", version)
    restore_backup(book, folder / "old.sqlite")
    assert book.connection.execute("PRAGMA user_version").fetchone()[0] == VERSION
    assert book.record().plugs["id"].tolist() == ["P1"]
