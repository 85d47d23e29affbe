"""One run at a course at a time: a lock the system takes back when its process ends, however it ends."""

import os
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from winterrisk.science.faults import Fault, Refused

NAME: Final = ".lock"
WAIT: Final = 60.0
"""How long a run waits for another one [s] (judged: longer than a night takes)."""
STALE: Final = 6 * 3600.0
"""Age from which a run that still holds the lock is taken as hung, and passed by [s] (judged)."""
PAUSE: Final = 0.2
FAR: Final = 1 << 30
"""Where in the file other systems lock one byte, so that what stands in it can be read."""


class LockError(Refused):
    """Another run holds the course."""


@contextmanager
def course_lock(folder: Path, tell: Callable[[str], None], *, wait: float = WAIT) -> Iterator[None]:
    """Hold the lock of a course folder, `nights/.lock`; waits for another run, passes by one that hangs.

    The system gives the lock back when its process ends, also by a kill or a power cut: a file left behind holds
    nobody. A live process that has held it for more than `STALE` seconds, or from a time that is yet to come, is told
    and passed by.

    Raises:
        LockError: another run is at work and did not end within `wait` seconds.
    """
    nights = folder / "nights"
    began = not nights.exists()
    path = nights / NAME
    file = _waited_for(path, tell, wait)
    try:
        yield
    finally:
        with suppress(OSError):
            if os.path.samestat(os.fstat(file), path.stat()):
                path.unlink()
        os.close(file)
        if began:
            with suppress(OSError):
                nights.rmdir()


def _waited_for(path: Path, tell: Callable[[str], None], wait: float) -> int:
    ends, told = time.monotonic() + wait, False
    while (file := _taken(path)) is None:
        try:
            held = path.stat()
            holder = (
                path.read_text(encoding="utf-8", errors="replace")[:200].strip() or "a run that just began"
            )
        except OSError:
            continue
        hours = (time.time() - held.st_mtime) / 3600
        if abs(hours) * 3600 > STALE:
            age = f"for {hours:.0f} h" if hours > 0 else "from a time yet to come"
            tell(f"an earlier run ({holder}) holds the course {age}: taken as hung; end it. This run goes on")
            _put_aside(path, held)
            continue
        if time.monotonic() >= ends:
            move = "wait for it to end, or end that process; nothing was done by this run"
            raise LockError(Fault(str(path.parent.parent), f"another run at work ({holder})", "none", move))
        if not told:
            tell(f"another run of this course is at work ({holder}): waiting up to {wait:.0f} s")
            told = True
        time.sleep(PAUSE)
    return file


def _taken(path: Path) -> int | None:
    """The open, locked file; None where another holds it."""
    path.parent.mkdir(exist_ok=True)
    try:
        file = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except FileNotFoundError:
        return None
    try:
        if _lock(file) and os.path.samestat(os.fstat(file), path.stat()):
            os.ftruncate(file, 0)
            os.write(file, f"process {os.getpid()} on {socket.gethostname()} since {_now()}\n".encode())
            return file
    except FileNotFoundError:
        pass
    except BaseException:
        os.close(file)
        raise
    os.close(file)
    return None


def _lock(file: int) -> bool:
    try:
        import fcntl
    except ImportError:
        import msvcrt

        os.lseek(file, FAR, os.SEEK_SET)
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        except OSError:
            return False
        finally:
            os.lseek(file, 0, os.SEEK_SET)
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _put_aside(path: Path, held: os.stat_result) -> None:
    """Move the lock file of a hung run out of the way, unless another run did so first."""
    aside = path.with_name(f"{NAME}.{os.getpid()}")
    with suppress(OSError):
        path.rename(aside)
        if not os.path.samestat(aside.stat(), held):
            os.link(aside, path)
        aside.unlink()


def _now() -> str:
    return time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())
