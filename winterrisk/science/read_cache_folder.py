"""Where compiled code is kept: the package's own cache, else the user's; a folder for each state of the source."""

import hashlib
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import winterrisk

PRIVATE = 0o700
COMPILED_FROM = ("science", "thresholds", "column", "hazards")
"""Chapters whose functions or constants go into compiled code."""


def source_digest(package: Path, chapters: Sequence[str] = COMPILED_FROM) -> str:
    """A short digest of name, size and time of change of every file of some chapters: those of compiled code."""
    digest = hashlib.sha256(sys.version.encode())
    for path in sorted(p for folder in chapters for p in (package / folder).rglob("*.py")):
        stat = path.stat()
        digest.update(f"{path.relative_to(package)}:{stat.st_size}:{stat.st_mtime_ns}\n".encode())
    return digest.hexdigest()[:16]


def cache_folder() -> Path | None:
    """A folder of our own for compiled code of exactly this source, or None where none can be written.

    Compiled code is code: it lies beside the package or in the user's own cache (mode 0700), never in a course
    folder or a shared temporary folder.
    """
    package = Path(winterrisk.__file__).parent
    name = f"compiled-{source_digest(package)}"
    home = Path("~").expanduser()
    user = Path(os.environ.get("XDG_CACHE_HOME") or home / ".cache")
    for parent in (package / "__pycache__", user / "winterrisk"):
        folder = parent / name
        try:
            folder.mkdir(mode=PRIVATE, parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK) and folder.stat().st_uid == _me():
            return folder
    return None


def _me() -> int:
    return os.getuid() if hasattr(os, "getuid") else Path.home().stat().st_uid
