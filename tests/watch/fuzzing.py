"""Files spoilt in every way a keyed random number can think of, and readers held to their limits."""

import json
import random
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

LONGEST = 5.0
"""Seconds a reader may take for one file."""
NASTY = (
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\x1b[31m", b"\r\n\r\n", b"'", b'"', b'"""', b",,,,", b";", b"=1+1",
    b"@SUM(A1)", b"../../etc/passwd", b"/dev/zero", b"<script>alert(1)</script>", b"{{7*7}}", b"${HOME}", b"%s%n",
    b"nan", b"inf", b"-0.0", b"1e999", b"9" * 400, b"-1", b"0", b"[" * 300, b"{" * 300, b"NaN", b"null", b"true",
    b"1970-01-01T00:00", b"9999-12-31T23:59", b"0000-00-00", b"2024-02-30", b"T", b"A" * 5000,
    "\u202e\u2028".encode(), "é".encode("latin-1"),
)  # fmt: skip


def spoilt(content: bytes, pick: random.Random) -> bytes:
    """The content after one to four slips: bits flipped, parts cut, doubled, moved, or something nasty put in."""
    raw = bytearray(content)
    for _ in range(pick.choice((1, 1, 2, 4))):
        at = pick.randrange(len(raw) + 1)
        upto = min(len(raw), at + pick.choice((1, 3, 20, 300, 5000)))
        what = pick.randrange(7)
        if what == 0 and raw:
            raw[at % len(raw)] ^= 1 << pick.randrange(8)
        elif what == 1:
            del raw[at:upto]
        elif what == 2:
            raw[at:at] = raw[at:upto] * pick.choice((1, 2, 30))
        elif what == 3:
            raw[at:at] = pick.choice(NASTY)
        elif what == 4:
            raw[at:upto] = pick.choice(NASTY)
        elif what == 5:
            del raw[at:]
        else:
            raw[at:at] = pick.randbytes(pick.choice((1, 30, 1000)))
    return bytes(raw[:2_000_000])


def cells_spoilt(text: str, pick: random.Random) -> str:
    """A table or file of keys with one to three of its words changed for others of it, or for something nasty."""
    words = text.split()
    for _ in range(pick.choice((1, 2, 3))):
        old = pick.choice(words)
        new = pick.choice((pick.choice(words), pick.choice(NASTY).decode("utf-8", "replace"), "", old * 2))
        head, _, tail = text.partition(old)
        cut = text.find(old, pick.randrange(len(text)))
        text = head + new + tail if cut < 0 else text[:cut] + new + text[cut + len(old) :]
    return text


VALUES = (
    None, True, -1, 0, 1e300, -1e300, float("nan"), float("inf"), 10**30, "", "nan", "PT6H", "P9999999D",
    "1970-01-01T00:00:00Z", "9999-12-31T23:00:00+14:00", "x" * 3000, [], {}, [[]], [None], {"value": None},
)  # fmt: skip
"""What stands in an answer in place of what should."""


def values_spoilt(content: bytes, pick: random.Random) -> bytes:
    """An answer in JSON of the same form with one to three of its values changed, taken out or told twice."""
    whole = json.loads(content)
    for _ in range(pick.choice((1, 1, 2, 3))):
        at, into = whole, whole
        for _ in range(pick.randrange(1, 9)):
            if not isinstance(into, dict | list) or not into:
                break
            at = into
            key = pick.choice(list(at) if isinstance(at, dict) else range(len(at)))
            into = at[key]
        what = pick.randrange(4)
        if what == 0:
            del at[key]
        elif what == 1 and isinstance(at, list):
            at.append(into)
        else:
            at[key] = pick.choice(VALUES)
        if not whole:
            break
    return json.dumps(whole).encode()


@contextmanager
def limited(seconds: float = LONGEST) -> Iterator[None]:
    """Fail where what is inside takes longer; where the system can, it is stopped there."""

    def late(number: int, frame: FrameType | None) -> None:
        raise TimeoutError(f"longer than {seconds} s")

    before = signal.signal(signal.SIGALRM, late) if hasattr(signal, "SIGALRM") else None
    if before is not None:
        signal.setitimer(signal.ITIMER_REAL, seconds)
    begins = time.monotonic()
    try:
        yield
        assert time.monotonic() - begins < seconds
    finally:
        if before is not None:
            signal.setitimer(signal.ITIMER_REAL, 0.0)
            signal.signal(signal.SIGALRM, before)


def first_fault(
    read: Callable[[bytes], object],
    content: bytes,
    numbers: range,
    allowed: type[Exception],
    *,
    words: bool = False,
    how: Callable[[bytes, random.Random], bytes] = spoilt,
) -> str:
    """The first number whose spoilt content makes a reader raise anything but what is allowed; empty where none.

    Args:
        words: every second time whole words are changed. how: what is done the other times.
    """
    for number in numbers:
        pick = random.Random(f"spoilt {number}")
        given = cells_spoilt(content.decode(), pick).encode() if words and number % 2 else how(content, pick)
        try:
            with limited():
                read(given)
        except allowed as refusal:
            said = str(refusal)
            if not said.strip() or "Traceback" in said or "\x1b" in said or "\x00" in said:
                return f"number {number}: refused with {said!r}"
        except Exception as fault:
            return f"number {number}: {type(fault).__name__} {fault!s:.200}"
    return ""
