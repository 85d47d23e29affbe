"""What is said when a command cannot go on, so that the last line of a log always tells why."""

import errno
import os
import sqlite3
import sys
import traceback
from importlib.metadata import version

from winterrisk.course.addresses import redacted
from winterrisk.science.faults import Fault

FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
CLOSED = (errno.EROFS, errno.EACCES, errno.EPERM)
OF_THE_DISK = (*FULL, *CLOSED, errno.EIO, errno.ESTALE, errno.EMFILE, errno.ENFILE)
FULL_WORDS, CLOSED_WORDS = (
    ("disk is full", "disk full"),
    ("readonly", "read-only", "unable to open", "disk i/o"),
)


def storage_fault(fault: BaseException) -> Fault | None:
    """One line on a disk that is full, closed or failing, or on memory that ran out; None for anything else."""
    again = "then run this again: what was written before is whole"
    if isinstance(fault, MemoryError):
        return Fault("memory", "none left", "some 1 GB for a night", f"end other programs, {again}")
    if isinstance(fault, sqlite3.Error):
        words = str(fault).lower()
        if any(part in words for part in (*FULL_WORDS, *CLOSED_WORDS, "locked")):
            move = "make room, check the permissions there, and end other programs that hold it"
            return Fault(
                "a database of the course folder",
                f"that it fails ({fault})",
                "one to write",
                f"{move}, {again}",
            )
        return None
    if not isinstance(fault, OSError) or fault.errno not in OF_THE_DISK:
        return None
    where = str(fault.filename or "the course folder")
    reason = (fault.strerror or "a fault of the disk").lower()
    move = "make room" if fault.errno in FULL else "check the disk and the permissions there"
    return Fault(where, reason, "a place that can be written", f"{move}, {again}")


def bug(fault: BaseException) -> str:
    """The trace of a bug of ours and, last, one line that says so; without what is secret."""
    place = traceback.extract_tb(fault.__traceback__)
    where = f"{place[-1].filename} line {place[-1].lineno}" if place else "an unknown place"
    lines = "".join(traceback.format_exception(fault))
    said = " ".join(f"{type(fault).__name__}: {fault}".split())[:300]
    last = (
        f"winterrisk {version('winterrisk')} failed: a bug of ours, not yours ({said}, {where}). Nothing is said of "
        "any green: this is no all-clear. Please send these lines to whoever looks after it"
    )
    return redacted(f"{lines}{last}")


def give_up_output() -> None:
    """Let go of a standard output that cannot be written, so that the end of the program is not one more fault."""
    try:
        sys.stdout.flush()
    except OSError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
