"""Whatever is typed or handed in: understood whole, or refused with the book as it was."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from winterrisk.book import Book, BookError, Places, Room, Typed, import_tables, note_line, open_book
from winterrisk.book.all_rows import TABLES, rows_of

WORDS = [
    "4", "9", "12", "low", "ridge", "shade", "open", "practice", "ice", "snow", "water", "no", "2cm", "30", "1", "ft",
    "in", "clear", "since", "about", "new", "year", "cover", "on", "off", "plug", "look", "survey", "dead", "P1", "p2",
    "30-50", "growth", "day5", "poa", "bent", "A2", "yesterday", "monday", "7:30", "-4", "C", "%", "half", "140", "900",
    "2025-01-03", "2031-01-01", "31", "feb", "crowns", "control", "batch", "o2", "co2", ";", "'", "=", "\x00", '"', "-",
]  # fmt: skip
LINES = st.one_of(st.text(max_size=60), st.lists(st.sampled_from(WORDS), max_size=9).map(" ".join))
TYPED = Typed(np.datetime64("2025-01-15T15:00:00"), "America/Chicago")
PLACES = Places(
    {"4": ("low", "ridge"), "9": ("afternoon shade", "open"), "12": ("low",), "practice": ("ridge",)}
)


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with open_book(tmp_path_factory.mktemp("invented"), create=False) as book:
        book.places = PLACES
        note_line(book, "plug 4 low A2 5cm", TYPED, Room())
        yield book


def dump(book: Book) -> list[object]:
    return [rows_of(book.connection, table) for table in TABLES]


@settings(max_examples=600, deadline=None)
@given(line=LINES)
def test_a_refused_line_changes_nothing_and_a_taken_one_adds_its_row(shared: Book, line: str) -> None:
    before = dump(shared)
    try:
        said = note_line(shared, line, TYPED, Room())
    except BookError as refused:
        assert refused.faults and all(f.found and f.where for f in refused.faults)
        assert dump(shared) == before
        return
    assert said.startswith("noted ")
    after = dump(shared)
    grown = [len(a) - len(b) for a, b in zip(after, before, strict=True)]
    assert sum(grown) in (1, 2) and min(grown) == 0
    assert all(a[: len(b)] == b for a, b in zip(after, before, strict=True)), (
        "rows are appended, never changed"
    )
    assert not shared.connection.in_transaction


@settings(max_examples=150, deadline=None)
@given(
    content=st.one_of(st.binary(max_size=300), st.text(max_size=200).map(str.encode)), header=st.booleans()
)
def test_any_file_is_taken_whole_or_refused(
    shared: Book, tmp_path_factory: pytest.TempPathFactory, content: bytes, header: bool
) -> None:
    path: Path = tmp_path_factory.mktemp("files") / "observations.csv"
    path.write_bytes((b"time,area,zone,kind\n" if header else b"") + content)
    before = dump(shared)
    with contextlib.suppress(BookError):
        import_tables(shared, path, TYPED, Room())
    assert dump(shared) == before, "nothing of it can have been a row"
