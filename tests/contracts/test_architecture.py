"""The order of chapters and the thin edge hold, and a planted violation is found."""

import shutil
import sys
from pathlib import Path

import pytest

import winterrisk

sys.path.insert(0, str(Path(__file__).parent))
from architecture import order_violations, world_violations

PACKAGE = Path(winterrisk.__file__).parent


def test_chapters_import_only_upward() -> None:
    assert order_violations(PACKAGE) == []


def test_only_the_edge_touches_the_world() -> None:
    assert world_violations(PACKAGE) == []


@pytest.mark.parametrize(
    ("chapter", "line", "check"),
    [
        ("hazards", "from winterrisk.risk import outlook", order_violations),
        ("science", "import winterrisk.nightly", order_violations),
        ("plugs", "from winterrisk.cli import app", order_violations),
        ("column", "from . import step", order_violations),
        ("risk", "import requests", world_violations),
        ("column", "from pathlib import Path\nx = Path('a').read_text()", world_violations),
        ("sampling", "from datetime import datetime\nx = datetime.now()", world_violations),
        ("hazards", "import numpy as np\nx = np.random.default_rng()", world_violations),
    ],
)
def test_a_planted_violation_is_found(tmp_path: Path, chapter: str, line: str, check: object) -> None:
    copy = tmp_path / "winterrisk"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    assert callable(check)
    assert check(copy) == []
    (copy / chapter / "planted.py").write_text(line + "\n", encoding="utf-8")
    assert len(check(copy)) >= 1


def test_no_file_is_long_and_the_top_level_is_fixed() -> None:
    lines = {p: len(p.read_text(encoding="utf-8").splitlines()) for p in PACKAGE.rglob("*.py")}
    assert {str(p): n for p, n in lines.items() if n > 450} == {}
    root = PACKAGE.parent
    allowed = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "winterrisk", "tests", "notebooks"}
    allowed |= {"sample_weather", "docs"}
    left_by_tools = {"build", "dist", "winterrisk.egg-info"}
    seen = {p.name for p in root.iterdir() if not p.name.startswith(".")}
    assert seen - allowed - left_by_tools == set()
