"""Reads a file that others hand in: plain files alone, and no more of them than is allowed."""

import errno
import gzip
import io
import os
import stat
import zlib
from pathlib import Path
from typing import Final

LARGEST: Final = 64 * 2**20
"""Largest file that is read where nothing smaller is said [bytes] (judged: a century of hours has some 60 MB)."""


def capped_bytes(path: Path, most: int = LARGEST) -> bytes:
    """The bytes of a plain file.

    Args:
        most: largest size that is taken [bytes].
    Raises:
        OSError: it cannot be read, is no plain file (a pipe would wait for ever, a device has no end), or is larger.
    """
    file = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with open(file, "rb") as opened:  # noqa: PTH123
        told = os.fstat(file)
        if stat.S_ISDIR(told.st_mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
        if not stat.S_ISREG(told.st_mode):
            raise OSError(errno.EINVAL, "a pipe or device, no plain file", str(path))
        content = b"" if told.st_size > most else opened.read(most + 1)
    if told.st_size > most or len(content) > most:
        size = max(told.st_size, len(content))
        found = f"a file of {size / 2**20:.0f} MB, more than the {max(1, most // 2**20)} MB allowed"
        raise OSError(errno.E2BIG, found, str(path))
    return content


def capped_text(path: Path, most: int = LARGEST) -> str:
    """The text of a plain UTF-8 file (`capped_bytes`); UnicodeDecodeError where it is none."""
    return capped_bytes(path, most).decode("utf-8")


def unpacked(content: bytes, most: int = LARGEST) -> bytes:
    """What gzip packed, up to a size.

    Raises:
        OSError, EOFError: it cannot be unpacked, or is larger [bytes].
    """
    with gzip.GzipFile(fileobj=io.BytesIO(content)) as packed:
        try:
            plain = packed.read(most + 1)
        except zlib.error as fault:
            raise OSError(errno.EIO, f"no gzip ({fault})") from fault
    if len(plain) > most:
        raise OSError(errno.E2BIG, f"more than {most // 2**20} MB when unpacked")
    return plain
