"""docs/faults.md is true: every test it names exists, every row has one, every fault of the fault nights has a row."""

import ast
import re
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
PAGE = TESTS.parent / "docs" / "faults.md"
WELL = {"GOOD1", "good"}
"""In the tables of answers, but no faults."""
NAMED = re.compile(r"`([\w/]+\.py)::(test_\w+)`")
TABLES = (
    "NOTHING_COMES",
    "NOT_MEASURED",
    "SOMETHING_COMES",
    "FORECAST_FAULTS",
    "FORECAST_ANSWERS",
    "FILE_FAULTS",
)


def rows() -> list[str]:
    """Lines of the page's tables, without headings and rules."""
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    tables = [n for n, line in enumerate(lines) if re.fullmatch(r"\|(---\|)+", line)]
    heads = {n - 1 for n in tables}
    return [
        line for n, line in enumerate(lines) if line.startswith("|") and n not in heads and n not in tables
    ]


def functions(file: str) -> set[str]:
    """Names of the tests in a file."""
    tree = ast.parse((TESTS / file).read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def drawn() -> set[str]:
    """Every fault that the fault nights draw from, as their tables name it."""
    tree = ast.parse((TESTS / "watch" / "fault_nights.py").read_text(encoding="utf-8"))
    found = {
        target.id: set(ast.literal_eval(node.value))
        for node in tree.body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name) and target.id in TABLES
    }
    assert set(found) == set(TABLES)
    return set().union(*found.values()) - WELL


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.split("|")[1].strip()[:50])
def test_every_row_names_tests_that_exist(row: str) -> None:
    named = NAMED.findall(row.split("|")[-2])
    assert named, "a row without a test"
    assert [f"{file}::{name}" for file, name in named if name not in functions(file)] == []


def test_every_fault_of_the_fault_nights_has_a_row() -> None:
    cells = " ".join(part for row in rows() for part in row.split("|")[1:-2])
    told = set(re.findall(r"`([^`]+)`", cells))
    assert drawn() - told == set()


def test_no_row_names_a_fault_that_is_not_drawn() -> None:
    headed = [line for line in PAGE.read_text(encoding="utf-8").splitlines() if "| drawn as |" in line]
    assert len(headed) == 3, "weather, disk, what others hand in"
    in_column = [row.split("|")[3] for row in rows() if row.count("|") == 5]
    assert set(re.findall(r"`([^`]+)`", " ".join(in_column))) <= drawn()


def test_the_whole_chapter_is_one_command_and_the_same_everywhere() -> None:
    (command,) = re.findall(r"^    (python -m pytest .*)$", PAGE.read_text(encoding="utf-8"), re.M)
    assert command in (TESTS.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    parts = [word for word in command.split() if word.startswith("tests/")]
    assert parts and all((TESTS.parent / part).exists() for part in parts)
