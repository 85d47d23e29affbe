"""book"""
from winterrisk.book.append import Book
from winterrisk.book.zone_events import events
from winterrisk.book.kinds import KINDS
from winterrisk.book.opening import open_book
from winterrisk.book.record import Record
from winterrisk.book.refusal import BookError

__all__ = ["KINDS", "Book", "BookError", "Record", "events", "open_book"]
