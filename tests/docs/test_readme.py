"""The README is true: its commands, its demo, its links."""

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from readme_command import README, commands

ROOT = README.parent
TEXT = README.read_text(encoding="utf-8")


def demo_shown() -> str:
    """The output that the README shows between its marks."""
    found = re.search(r"<!-- demo -->\n```\n(.*?)```\n<!-- /demo -->", TEXT, re.S)
    assert found
    return found.group(1)


def test_there_are_two_set_up_commands_and_they_stand_alone() -> None:
    first, second = commands()
    for command in (first, second):
        assert command.startswith("python3 -m venv .venv && .venv/bin/python -m pip install -q -e ")
    assert "nightly sample_weather/ostermoor --on 2025-02-25 --no-send" in first
    assert second.endswith(".venv/bin/python -m pytest")


def test_the_output_shown_is_what_the_command_prints(course_copy: Path, winterrisk_command) -> None:
    code, out, _ = winterrisk_command("nightly", course_copy, "--on", "2025-02-25", "--no-send")
    said = out.replace("compiling, once\n", "").replace(str(course_copy), "sample_weather/ostermoor")
    assert code == 0
    assert said == demo_shown()


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md", "docs/index.md", "docs/science.md"])
def test_links_lead_somewhere(page: str) -> None:
    path = ROOT / page
    for target in re.findall(r"\]\(([^)#:]+)\)", path.read_text(encoding="utf-8")):
        assert (path.parent / target).exists(), f"{page} links to {target}"


def test_every_command_is_named_and_has_help_with_an_example() -> None:
    from winterrisk.cli import app

    for registered in app.registered_commands:
        name = registered.name or registered.callback.__name__  # type: ignore[union-attr]
        doc = registered.callback.__doc__ or ""  # type: ignore[union-attr]
        assert f"winterrisk {name}" in TEXT or name == "decide", name
        assert "Example" in doc, name
