"""The book: one SQLite file a course, into which people's words are appended and never changed.

| file | holds |
|---|---|
| schema | tables, columns, and how an older book becomes one of today |
| opening, write_file | the file: foreign and damaged ones refused; `book/*.csv` taken in once |
| append | Book: add, correct, withdraw; one transaction each |
| check_rows, kinds, places | what a row must be, every fault named |
| record | Record: the tables as known by a time, corrections resolved |
| zone_events | what was seen and done on one zone, for the column |
| grammar, said_*, line_* | one typed line turned into a row |
| noting, noting_plugs, noting_line, reading_back, plug_list | what the commands note, and say back |
| inbox, inbox_note, inbox_files | phone notes taken in, each line once, refusals answered |
| write_export, all_rows, cells | everything to CSV or a spreadsheet |
| import_rows, import_export, import_lines, read_sheets | exports and tables made by hand taken in |
| backup | the file copied whole, and put back |
"""

from winterrisk.book.append import Book
from winterrisk.book.backup import restore_backup, write_backup
from winterrisk.book.grammar import noted
from winterrisk.book.import_rows import Imported, import_tables
from winterrisk.book.inbox import Taken, TakenLine, refused_lines, take_inbox
from winterrisk.book.inbox_files import refused_notes
from winterrisk.book.kinds import KINDS
from winterrisk.book.line_reader import Noted
from winterrisk.book.noting import Typed, note_decision, note_observation, note_survey
from winterrisk.book.noting_line import course_room, course_values, note_line
from winterrisk.book.noting_plugs import Room, note_batch, note_look, note_plug
from winterrisk.book.opening import open_book
from winterrisk.book.places import Places
from winterrisk.book.plug_list import plug_list
from winterrisk.book.record import Record
from winterrisk.book.refusal import BookError
from winterrisk.book.write_export import write_export
from winterrisk.book.zone_events import events

__all__ = [
    "KINDS", "Book", "BookError", "Imported", "Noted", "Places", "Record", "Room", "Taken",
    "TakenLine", "Typed", "course_room", "course_values", "events", "import_tables", "note_batch", "note_decision",
    "note_line", "note_look", "note_observation", "note_plug", "note_survey", "noted", "open_book",
    "plug_list", "refused_lines", "refused_notes", "restore_backup", "take_inbox", "write_backup", "write_export",
]  # fmt: skip
