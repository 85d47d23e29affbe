"""What is said when input is refused: what was found, expected, where, and the next move."""

import difflib
import re
from collections.abc import Iterable
from dataclasses import dataclass

_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""Signs that break a line, move the cursor or turn text round; a fault shows them written out."""


@dataclass(frozen=True)
class Fault:
    """One fault in something a person gave us."""

    where: str
    found: str
    expected: str
    next_move: str

    def __str__(self) -> str:
        parts = [f"{self.where}: found {self.found}"]
        if self.expected:
            parts.append(f"expected {self.expected}")
        whole = ", ".join(parts) + (f"; {self.next_move}" if self.next_move else "")
        return _CONTROL.sub(lambda sign: sign[0].encode("unicode_escape").decode("ascii"), whole)


class Refused(Exception):
    """Input that cannot be used; carries every fault found. Subclasses name the user's problem."""

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(f) for f in self.faults))


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like the given one, or None where none is alike."""
    options = list(known)
    folded = {k.casefold(): k for k in options}
    hits = difflib.get_close_matches(word.casefold(), list(folded), n=1, cutoff=0.5)
    return folded[hits[0]] if hits else None
