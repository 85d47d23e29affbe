"""Why the online history gave nothing: its library raises nothing for a year that fails, it only logs."""

import errno
import gzip
import logging
import re
import socket
import ssl
import zlib
from collections.abc import Iterator, Sequence
from http.client import HTTPException, IncompleteRead
from typing import Final
from urllib.error import HTTPError

from winterrisk.weather.history_faults import NEVER, NO_VALUES, UNREAD, Reason

NO_NETWORK: Final = "the server was not found; is there a network?"
STATUS: Final = re.compile(r"status:? (\d{3})")
CAUSES: Final[tuple[tuple[type[BaseException], str], ...]] = (
    (TimeoutError, "the server did not answer in time"),
    (ConnectionRefusedError, "the server refused the connection"),
    (socket.gaierror, NO_NETWORK),
    (ssl.SSLError, "the server's certificate was not accepted"),
)
"""Causes for which the next year would fail alike."""
CONTENTS: Final[tuple[tuple[type[BaseException], str], ...]] = (
    (gzip.BadGzipFile, "something else than data came, perhaps a web page"),
    (IncompleteRead, "the file broke off in the middle"),
    (EOFError, "the file broke off in the middle"),
    (zlib.error, "the file is damaged"),
    (ConnectionError, "the connection broke off"),
    (HTTPException, "the server's answer could not be read"),
)
NO_NETWORK_CODES: Final = (errno.ENETUNREACH, errno.EHOSTUNREACH, errno.ENETDOWN)


class Log(logging.Handler):
    """Keeps what the library says while it fetches, and the exceptions behind it."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.lines: list[str] = []
        self.raised: list[BaseException] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())
        behind = (record.exc_info or (None, None))[1]
        given = record.args if isinstance(record.args, tuple) else ()
        self.raised += [fault for fault in (behind, *given) if isinstance(fault, BaseException)]

    def clear(self) -> None:
        """Forget what was said."""
        self.lines.clear()
        self.raised.clear()

    def reason(self) -> Reason:
        """Why nothing came, from what was said since."""
        return reason_of(self.lines, self.raised)


def reason_of(messages: Sequence[str], raised: Sequence[BaseException]) -> Reason:
    """Why nothing came, from what the library logged and the exceptions behind it.

    Exceptions are told by their type: what an operating system says of them is in its own language.
    """
    chain = [cause for fault in raised for cause in _causes(fault)]
    text = " ".join(messages)
    if not chain and "was not found" in text:
        return NEVER
    status = next((c.code for c in chain if isinstance(c, HTTPError)), None)
    if status is None and (said := STATUS.search(text)):
        status = int(said[1])
    if status is not None:
        return Reason(f"the server answered with an error {status}")
    for kind, words in CAUSES:
        if any(isinstance(c, kind) for c in chain):
            return Reason(words, unreachable=True)
    if any(isinstance(c, OSError) and c.errno in NO_NETWORK_CODES for c in chain):
        return Reason(NO_NETWORK, unreachable=True)
    for kind, words in CONTENTS:
        if any(isinstance(c, kind) for c in chain):
            return Reason(words)
    if any(type(c).__name__ == "EmptyDataError" for c in chain):
        return Reason("the file was empty")
    if any("duplicate entries" in str(c) for c in chain):
        return Reason("times stand twice in the file")
    return UNREAD if chain or text else NO_VALUES


def _causes(fault: BaseException, seen: set[int] | None = None) -> Iterator[BaseException]:
    """An exception and everything that led to it."""
    seen = set() if seen is None else seen
    if id(fault) in seen:
        return
    seen.add(id(fault))
    yield fault
    behind = (fault.__cause__, fault.__context__, getattr(fault, "reason", None), *fault.args)
    for cause in behind:
        if isinstance(cause, BaseException):
            yield from _causes(cause, seen)
