"""docs/recovery.md tells of the sample what the program prints; its pictures stand."""

import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from recovery_story import PAGE, blocks, printed, sample_copy

REFILL = "run python tests/docs/recovery_story.py"


def test_the_page_has_its_story_and_pictures() -> None:
    text = PAGE.read_text(encoding="utf-8")
    commands = [words for words, _ in blocks(text)]
    assert commands == [
        "note ostermoor member --on 2025-03-01",
        "recovery ostermoor --on 2025-03-14 --why",
        "note ostermoor member --on 2025-03-14",
        "note ostermoor board --on 2025-03-14",
        "recovery ostermoor --on 2025-05-15",
    ]
    for name in ("recovery_2025-03-14", "recovery_2025-05-15", "recovery_soil"):
        assert f"(pictures/{name}.svg)" in text
        assert ElementTree.parse(PAGE.parent / "pictures" / f"{name}.svg").getroot().tag.endswith("svg")


def test_the_first_draft_is_what_the_command_prints(tmp_path: Path) -> None:
    words, said = blocks(PAGE.read_text(encoding="utf-8"))[0]
    assert printed(words, sample_copy(tmp_path)) == said, REFILL


@pytest.mark.slow
def test_every_block_is_what_its_command_prints(tmp_path: Path) -> None:
    course = sample_copy(tmp_path)
    for words, said in blocks(PAGE.read_text(encoding="utf-8")):
        assert printed(words, course) == said, f"{words}: {REFILL}"
