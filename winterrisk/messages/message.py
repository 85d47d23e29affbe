"""One message to one person."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

KINDS: Final = (
    "action", "withdrawn", "danger", "missing", "verdict", "notice", "digest", "unanswered", "undelivered",
)  # fmt: skip
"""What a message is for; only `action` counts against the winter's number."""
IDENTITY: Final = 32


@dataclass(frozen=True)
class Message:
    """A message as it is kept in the outbox.

    Attributes:
        night: date of the night it speaks of. recipient: name of a person of the course file.
        about: what it told, as plain values: said (`reports.news.said_of`), due, notices, of.
        not_before, expires: UTC; outside of them it does not go.
    """

    kind: str
    night: str
    recipient: str
    headline: str
    body: str
    about: Mapping[str, Any]
    not_before: np.datetime64
    expires: np.datetime64

    def identity(self, course: str) -> str:
        """The same for the same course, night, person and words: a message is known by it everywhere."""
        told = "\x1f".join((course, self.kind, self.night, self.recipient, self.headline, self.body))
        return hashlib.sha256(told.encode()).hexdigest()[:IDENTITY]
