"""Every function that the page of check values names exists, takes the arguments named, and is checked by a row."""

import csv
import importlib.util
import inspect
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
_spec = importlib.util.spec_from_file_location("stat_scores", ROOT / "tests" / "published" / "stat_scores.py")
assert _spec is not None and _spec.loader is not None
stat_scores = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(stat_scores)
NAMED = re.findall(
    r"`((?:calibration|weather|sampling|risk|plugs)[\w.]+)(?:\(([^)]*)\))?`",
    (ROOT / "docs" / "check_values.md").read_text(encoding="utf-8"),
)


def test_the_page_names_functions() -> None:
    assert len(NAMED) > 20


@pytest.mark.parametrize(("name", "arguments"), NAMED, ids=[name for name, _ in NAMED])
def test_it_exists_and_takes_these_arguments(name: str, arguments: str) -> None:
    found = stat_scores.function_named(name)
    told = [part.split("=")[0].strip() for part in arguments.split(",") if part.strip() and "%" not in part]
    if told:
        assert [a for a in told if a not in inspect.signature(found).parameters] == []


def test_verification_and_calibration_have_a_row_each() -> None:
    with stat_scores.SHIPPED.open(newline="", encoding="utf-8") as file:
        checked = {row["function"].removeprefix("winterrisk.") for row in csv.DictReader(file)}
    without = {name for name, _ in NAMED if name.startswith("calibration.") and name not in checked}
    assert without <= {"calibration.ensemble_scores.spread_skill"}, "a law checks that one"
