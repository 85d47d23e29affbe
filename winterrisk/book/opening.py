"""Opening a course's book: begun where there is none, its CSV files taken in once."""

from pathlib import Path
from typing import Any

from winterrisk.book.append import FILE_NAME, Book
from winterrisk.book.places import Places
from winterrisk.book.read_csv import Line, read_book_folder
from winterrisk.book.refusal import BookError, told
from winterrisk.book.schema import VERSION
from winterrisk.book.write_file import connect, migrate, version_of, with_journal
from winterrisk.science.faults import Fault


def _places(folder: Path, course: Any) -> Places | None:
    if course is None and (folder / "course.toml").exists():
        from winterrisk.course import read_course

        course = read_course(folder)
    return None if course is None else Places.of(course)


def _take_in(book: Book, found: dict[str, list[Line]]) -> None:
    """Append every line inside the open transaction.

    Raises:
        BookError: all faults of all files.
    """
    faults: list[Fault] = []
    for table, lines in found.items():
        faults += book.append_lines(table, [(line.given, line.known, line.where) for line in lines])[1]
    if faults:
        raise BookError(told(faults))


def open_book(folder: str | Path, create: bool = True, course: Any = None) -> Book:
    """The book of a course folder, open for reading and writing.

    Where there is no `book.sqlite`, one is begun and `book/*.csv` taken in: all of it or nothing. With
    create=False nothing is written: without a file the book is only in memory, with the CSV rows in it.

    Args:
        folder: the course folder. course: its `Course`, to check zones; read from the folder when left out.
    Raises:
        BookError: folder missing or not writable, a file that is no book of ours, faults in the CSV files.
    """
    home = Path(folder)
    if not home.is_dir():
        raise BookError(Fault(str(home), "no such folder", "a course folder", "check the name"))
    path = home / FILE_NAME
    places = _places(home, course)
    exists = path.exists() and path.stat().st_size > 0
    found = {} if exists else read_book_folder(home)
    file = path if exists or create else None
    connection = connect(file)
    book = Book(connection, file, places)
    try:
        if version_of(connection) < VERSION:
            with book.writing():
                if migrate(connection) == 0:
                    _take_in(book, found)
        if file is not None:
            book = Book(with_journal(connection, path), file, places)
    except BaseException:
        book.close()
        if file is not None and not exists and path.exists() and path.stat().st_size == 0:
            path.unlink()
        raise
    return book
