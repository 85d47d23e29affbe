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


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_the_script_beside_a_notebook_holds_the_same_cells(path: Path) -> None:
    jupytext = pytest.importorskip("jupytext", reason="jupytext is not installed")
    pair = [
        [(cell.cell_type, cell.source.strip()) for cell in jupytext.read(file).cells]
        for file in (path, path.with_suffix(".py"))
    ]
    assert pair[0] == pair[1], f"jupytext --sync notebooks/{path.name}"


def test_no_script_is_without_its_notebook() -> None:
    folder = Path(__file__).parents[2] / "notebooks"
    assert {p.stem for p in folder.glob("*.py")} == {p.stem for p in NOTEBOOKS}
