"""Writes a draft note where it is missing or untouched; what somebody has edited is theirs and stays."""

import hashlib
import re
import tempfile
from pathlib import Path
from typing import Final

from winterrisk.reports.note_html import note_page
from winterrisk.reports.write_night import FolderError
from winterrisk.science.faults import Fault

SEAL: Final = re.compile(r"\n<!-- draft ([0-9a-f]{16})[^>]*-->\s*\Z")
SAYS: Final = "of winterrisk; change the text and it is yours, never written over"


def sealed(text: str) -> str:
    """The text with a last line that tells whether anybody has changed it since."""
    body = text.rstrip("\n")
    return f"{body}\n\n<!-- draft {_digest(body)} {SAYS} -->\n"


def is_untouched(text: str) -> bool:
    """Whether a file still is as it was drafted."""
    found = SEAL.search(text)
    return found is not None and found[1] == _digest(text[: found.start()].rstrip("\n"))


def _digest(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()[:16]


def write_note(folder: Path, name: str, draft: str) -> tuple[Path, Path, str, tuple[Path, ...]]:
    """Write reports/notes/NAME.md and NAME.html; returns both paths, the Markdown that now stands, and what stayed.

    An edited Markdown file stays and the page is made from it; an edited page stays too.

    Raises:
        FolderError: the folder cannot be written, or a file there cannot be read.
    """
    home = folder / "reports" / "notes"
    markdown, page = home / f"{name}.md", home / f"{name}.html"
    kept = []
    try:
        home.mkdir(parents=True, exist_ok=True)
        text = sealed(draft)
        if _edited(markdown):
            text = markdown.read_text(encoding="utf-8")
            kept.append(markdown)
        else:
            _put(markdown, text)
        if _edited(page):
            kept.append(page)
        else:
            _put(page, sealed(note_page(text)))
    except (OSError, UnicodeDecodeError) as error:
        found = (getattr(error, "strerror", None) or "it cannot be read").lower()
        move = "allow writing there, or copy the course elsewhere"
        raise FolderError(Fault(str(home), found, "a folder that can be written", move)) from None
    return markdown, page, text, tuple(kept)


def _edited(path: Path) -> bool:
    return path.exists() and not is_untouched(path.read_text(encoding="utf-8"))


def _put(path: Path, text: str) -> None:
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", newline="\n", dir=path.parent, prefix=".writing-", delete=False
    ) as staging:
        staging.write(text)
    Path(staging.name).chmod(0o644)
    Path(staging.name).replace(path)
