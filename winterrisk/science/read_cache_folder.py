"""Where compiled code is kept: the package's own cache, else the user's; a folder for each state of the source."""

import hashlib
import os
import stat
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
    for parent in (package / "__pycache__", *_users_own()):
        folder = parent / name
        try:
            folder.mkdir(mode=PRIVATE, parents=True, exist_ok=True)
            if folder.stat().st_uid == _me():
                folder.chmod(PRIVATE)
            if os.access(folder, os.W_OK) and _nobody_elses(folder):
                return folder
        except OSError:
            continue
    return None


def _users_own() -> tuple[Path, ...]:
    """The user's cache for this package; nothing where there is no home."""
    try:
        told = os.environ.get("XDG_CACHE_HOME", "")
        cache = Path(told) if Path(told).is_absolute() else Path("~").expanduser() / ".cache"
    except RuntimeError:
        return ()
    return (cache / "winterrisk",) if cache.is_absolute() else ()


def _nobody_elses(folder: Path) -> bool:
    """Whether a folder is ours, and neither it nor the two above it may be changed by everybody."""
    if folder.stat().st_uid != _me():
        return False
    return not any(
        path.stat().st_mode & stat.S_IWOTH for path in (folder, folder.parent, folder.parent.parent)
    )


def _me() -> int:
    return os.getuid() if hasattr(os, "getuid") else Path.home().stat().st_uid
