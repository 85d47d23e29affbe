"""What every test may lean on: the invented sample course, copied where a test writes."""

import shutil
import sys
from pathlib import Path

import pytest

SAMPLE = Path(__file__).parents[1] / "sample_weather" / "ostermoor"


@pytest.fixture(scope="session")
def sample() -> Path:
    """The sample course as it stands in the repository; read only."""
    return SAMPLE


@pytest.fixture
def course_copy(tmp_path: Path) -> Path:
    """A copy of the sample course, without anything an earlier run wrote there."""
    copy = tmp_path / "course"
    left = shutil.ignore_patterns(
        "nights", "reports", "weather", "book.sqlite*", "thresholds*", "__pycache__"
    )
    shutil.copytree(SAMPLE, copy, ignore=left)
    return copy


@pytest.fixture
def winterrisk_command(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]):
    """Runs a command line in this process; returns (exit code, stdout, stderr)."""

    def run(*words: object) -> tuple[int, str, str]:
        from winterrisk.cli import main

        monkeypatch.setattr(sys, "argv", ["winterrisk", *map(str, words)])
        capfd.readouterr()
        try:
            main()
            code = 0
        except SystemExit as stop:
            code = int(stop.code or 0)
        out, err = capfd.readouterr()
        return code, out, err

    return run
