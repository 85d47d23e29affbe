"""Reads the package's own source and says where it breaks the order of chapters or touches the world."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

CHAPTERS = (
    "science",
    "thresholds",
    "course",
    "plugs",
    "weather",
    "microclimate",
    "column",
    "hazards",
    "risk",
    "sampling",
    "simulation",
    "book",
    "calibration",
    "recovery",
    "reports",
    "messages",
)
OUTSIDE_THE_ORDER = ("nightly", "season", "backcast", "spring", "note", "what_if", "watch", "cli")
EDGE_PREFIXES = ("read_", "write_", "get_", "send_")
WORLD_MODULES = {
    "apprise", "ftplib", "http", "io", "os", "requests", "shutil", "smtplib", "socket", "sqlite3", "subprocess",
    "tempfile", "time", "urllib",
}  # fmt: skip
PURE_PARTS = ("urllib.parse.",)
"""Parts of such modules that only take text apart."""
WORLD_CALLS = {
    "open", "read_text", "write_text", "read_bytes", "write_bytes", "mkdir", "rmdir", "unlink", "touch", "exists",
    "is_file", "is_dir", "iterdir", "glob", "rglob", "stat", "read_csv", "to_csv", "read_excel", "to_excel",
    "open_dataset", "to_netcdf", "savefig", "now", "today", "utcnow", "time_ns", "default_rng", "urlopen", "rename",
}  # fmt: skip
MAY_ASK_THE_ENVIRONMENT = {"science/compiled.py"}
"""Asks whether compiling is switched off, nothing else."""


def chapter(path: Path) -> str:
    """The chapter of a file, given relative to the package: its first folder, or its name."""
    return path.parts[0] if len(path.parts) > 1 else path.stem


def may_touch_the_world(path: Path) -> bool:
    """Whether this file, relative to the package, stands at the edge."""
    return (
        chapter(path) in OUTSIDE_THE_ORDER
        or chapter(path) == "book"
        or path.name.startswith(EDGE_PREFIXES)
        or path.as_posix() == "weather/archive.py"
    )


@cache
def _tree(source: str) -> ast.Module:
    return ast.parse(source)


def _parsed(path: Path) -> ast.Module:
    """A file taken apart; the same text once, wherever it is copied to."""
    return _tree(path.read_text(encoding="utf-8"))


def _imported(tree: ast.AST) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                yield node.lineno, "." * node.level + (node.module or "")
                continue
            for alias in node.names:
                yield node.lineno, f"{node.module}.{alias.name}"


def order_violations(package: Path) -> list[str]:
    """Imports of a later chapter, of a command or a step, and relative imports: one line each."""
    found = []
    for path in sorted(package.rglob("*.py")):
        relative = path.relative_to(package)
        here = chapter(relative)
        if here in OUTSIDE_THE_ORDER or here == "__init__":
            continue
        if here not in CHAPTERS:
            found.append(f"{relative}: {here} is no chapter of the story")
            continue
        for line, name in _imported(_parsed(path)):
            if name.startswith("."):
                found.append(f"{relative}:{line}: relative import {name}")
            if not name.startswith("winterrisk."):
                continue
            there = name.split(".")[1]
            if there in OUTSIDE_THE_ORDER or (
                there in CHAPTERS and CHAPTERS.index(there) > CHAPTERS.index(here)
            ):
                found.append(f"{relative}:{line}: {here} imports {there}, which comes later")
    return found


def world_violations(package: Path) -> list[str]:
    """Disk, network, clock or unkeyed randomness outside the edge: one line each."""
    found = []
    for path in sorted(package.rglob("*.py")):
        relative = path.relative_to(package)
        if may_touch_the_world(relative):
            continue
        tree = _parsed(path)
        for line, name in _imported(tree):
            top = name.split(".")[0]
            if (
                top in WORLD_MODULES
                and not name.startswith(PURE_PARTS)
                and relative.as_posix() not in MAY_ASK_THE_ENVIRONMENT
            ):
                found.append(f"{relative}:{line}: imports {top}")
            if name in ("random", "numpy.random"):
                found.append(f"{relative}:{line}: random numbers without a key")
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            called = node.func
            name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
            if name in WORLD_CALLS:
                found.append(f"{relative}:{node.lineno}: calls {name}")
    return found
