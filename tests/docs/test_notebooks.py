"""Notebooks are kept without output, so that nothing shown in them can be stale."""

import json
from pathlib import Path

import pytest

NOTEBOOKS = sorted((Path(__file__).parents[2] / "notebooks").glob("*.ipynb"))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_no_output_is_kept(path: Path) -> None:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert code
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)
