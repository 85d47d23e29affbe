"""The inbox folder: which notes wait, and where they go when they are done. Nothing in it is ever deleted.

The folder may be shared: links in it are not followed, neither to read nor to write.
"""

import hashlib
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from winterrisk.book.inbox_note import BIGGEST

TAKEN, REFUSED, UNREAD = "taken", "refused", ".unread"
MOST_NOTES = 500
"""Notes taken in one night; more wait for the next."""
PASSING = (".", "~", "_")
"""First letters of files that other programs are still busy with."""


@dataclass(frozen=True)
class Note:
    """A waiting file as it was read: its bytes (no more than are allowed and one), and when it was saved (UTC)."""

    path: Path
    content: bytes
    saved: np.datetime64

    @classmethod
    def read(cls, path: Path) -> "Note":
        """The note of a file."""
        with path.open("rb") as file:
            content = file.read(BIGGEST + 1)
            saved = os.fstat(file.fileno()).st_mtime
        return cls(path, content, np.datetime64(max(0, int(saved)), "s"))

    def at(self, folder: str, mark: str = "") -> Path:
        """Where the note goes in a folder of the inbox: under its name, or with a mark where that is taken."""
        wanted = self.path.parent / folder / f"{self.path.stem}{mark}{self.path.suffix}"
        if not wanted.exists() or _holds(wanted, self.content):
            return wanted
        digest = hashlib.sha256(self.content).hexdigest()[:8]
        return wanted.with_name(f"{wanted.stem}.{digest}{wanted.suffix}")

    def taken_before(self) -> bool:
        """Whether the same file lies among the taken ones."""
        return _holds(self.at(TAKEN), self.content)


def _holds(path: Path, content: bytes) -> bool:
    try:
        return _plain(path) and path.stat().st_size == len(content) and path.read_bytes() == content
    except OSError:
        return False


def _plain(path: Path) -> bool:
    return path.is_file() and not path.is_symlink()


def notes_of(inbox: Path) -> list[Path]:
    """Waiting notes by name: plain files `*.txt`, no links, none that another program is busy with."""
    if not inbox.is_dir():
        return []
    found = [
        path
        for path in inbox.iterdir()
        if path.suffix.casefold() == ".txt" and not path.name.startswith(PASSING) and _plain(path)
    ]
    return sorted(found, key=lambda path: path.name)[:MOST_NOTES]


def _move(note: Note, target: Path) -> None:
    """Move a note; where it was saved anew in the meantime it goes back and waits for the next night."""
    if target.parent.is_symlink():
        return
    try:
        target.parent.mkdir(exist_ok=True)
        note.path.replace(target)
    except OSError:
        return
    if len(note.content) <= BIGGEST and not _holds(target, note.content) and not note.path.exists():
        target.replace(note.path)


def move_away(note: Note) -> None:
    """Move a note whose lines are all handled to `inbox/taken/`; it waits on where the folder refuses."""
    _move(note, note.at(TAKEN))


def put_aside(note: Note) -> None:
    """Move a file that is no note to `inbox/refused/`, as it is, under NAME.unread.txt."""
    _move(note, note.at(REFUSED, UNREAD))


def keep_refused(path: Path, lines: Sequence[tuple[int, str, str]]) -> None:
    """Keep refused lines (number, reason, line) in `inbox/refused/NAME`, each once, the reason as a remark."""
    if not lines:
        return
    target = path.parent / REFUSED / path.name
    if target.parent.is_symlink():
        return
    target.parent.mkdir(exist_ok=True)
    kept = target.read_text(encoding="utf-8", errors="replace") if _plain(target) else ""
    for number, reason, line in lines:
        block = f"# line {number}, {' '.join(reason.split())}\n{line}\n"
        if block not in kept:
            kept += block
    staging = target.with_name(f".{target.name}.writing")
    staging.unlink(missing_ok=True)
    with staging.open("x", encoding="utf-8") as file:
        file.write(kept)
    staging.replace(target)


def refused_notes(folder: Path | str) -> tuple[str, ...]:
    """One line for each file in `inbox/refused/`: what is wrong in it and what to do next; none is good."""
    home = Path(folder) / "inbox" / REFUSED
    if not home.is_dir() or home.is_symlink():
        return ()
    said = []
    for path in sorted(p for p in home.iterdir() if _plain(p) and not p.name.startswith(".")):
        with path.open("rb") as file:
            text = file.read(BIGGEST).decode("utf-8", errors="replace")
        reasons = [line.removeprefix("# ") for line in text.splitlines() if line.startswith("# line ")]
        what = f"{len(reasons)} refused, the first: {reasons[0]}" if reasons else "a file that is no note"
        move = "correct the lines and move it into inbox, or delete it"
        said.append(f"inbox/refused/{path.name}: {what}; {move}")
    return tuple(said)
