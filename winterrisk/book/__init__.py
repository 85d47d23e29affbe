"""book"""
from winterrisk.book.book import Book
from winterrisk.book.events import events
from winterrisk.book.kinds import KINDS
from winterrisk.book.open_book import open_book
from winterrisk.book.record import Record
from winterrisk.book.refusal import BookError

__all__ = ["KINDS", "Book", "BookError", "Record", "events", "open_book"]
