"""A piece of work done in a process of its own that is killed at a counted write."""

import os
import signal
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

WRITES = ("BEGIN", "COMMIT", "INSERT", "UPDATE", "SAVEPOINT", "RELEASE", "CREATE", "PRAGMA user_version")
FILE_EVENTS = ("os.rename", "os.mkdir", "os.remove", "smtplib.send", "http.client.send")

Tell = Callable[[object], None]
Work = Callable[[Tell], None]


def _count_writes(at: int | None) -> Callable[[], int]:
    """Count statements that write, changes of files and words to a server; kill this process before number `at`."""
    seen = 0

    def one() -> None:
        nonlocal seen
        seen += 1
        if seen == at:
            os.kill(os.getpid(), signal.SIGKILL)

    def statement(sql: str) -> None:
        if sql.startswith(WRITES):
            one()

    def event(name: str, arguments: tuple[Any, ...]) -> None:
        written = name == "open" and isinstance(arguments[1], str) and set(arguments[1]) & set("wax+")
        if name in FILE_EVENTS or written:
            one()

    connect = sqlite3.connect

    def counted(*args: Any, **kwargs: Any) -> sqlite3.Connection:
        connection = connect(*args, **kwargs)
        connection.set_trace_callback(statement)
        return connection

    sqlite3.connect = counted  # type: ignore[assignment]
    sys.addaudithook(event)
    return lambda: seen


def _limit_file_size(size: int) -> None:
    """Let the system kill this process in the middle of the write that passes a file size [bytes]."""
    import resource

    signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


def run_killed(work: Work, *, at: int | None = None, size: int | None = None) -> tuple[list[str], bool]:
    """What the work told before it was killed, and whether it was; without a limit its number of writes last."""
    told, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            count = _count_writes(at)
            if size is not None:
                _limit_file_size(size)
            work(lambda line: os.write(write, f"{line}\n".encode()) and None)
            if at is None and size is None:
                os.write(write, f"{count()}\n".encode())
            os._exit(0)
        except BaseException as fault:
            os.write(write, f"fault {type(fault).__name__} {fault}\n".encode())
            os._exit(3)
    os.close(write)
    with os.fdopen(told, encoding="utf-8") as pipe:
        lines = pipe.read().splitlines()
    status = os.waitpid(child, 0)[1]
    assert status == 0 or os.WIFSIGNALED(status), lines
    return lines, os.WIFSIGNALED(status)


def spread(total: int, number: int) -> list[int]:
    """`number` counts from 1 to total, evenly spread, each once."""
    return sorted({1 + round(i * (total - 1) / max(1, number - 1)) for i in range(min(number, total))})


def integrity(path: Path) -> str:
    """The database's own check of itself: "ok"."""
    connection = sqlite3.connect(path)
    try:
        return str(connection.execute("PRAGMA integrity_check").fetchone()[0])
    finally:
        connection.close()
