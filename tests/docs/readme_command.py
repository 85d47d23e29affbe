"""Prints the n-th set-up command of the README (the lines that begin with `python3 -m venv`)."""

import sys
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"


def commands() -> list[str]:
    """The set-up commands in the order of the README."""
    lines = README.read_text(encoding="utf-8").splitlines()
    return [line.strip() for line in lines if line.strip().startswith("python3 -m venv")]


if __name__ == "__main__":
    print(commands()[int(sys.argv[1]) - 1])
