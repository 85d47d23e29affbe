"""What every test may lean on: the invented sample course, copied where a test writes."""

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

SAMPLE = Path(__file__).parents[1] / "sample_weather" / "ostermoor"


@pytest.fixture(scope="session")
def sample() -> Path:
    """The sample course as it stands in the repository; read only."""
    return SAMPLE


@pytest.fixture(scope="session")
def copy_of_sample() -> Callable[[Path], Path]:
    """Copies the sample course to a folder that is not there yet, without anything an earlier run wrote."""
    left = shutil.ignore_patterns(
        "nights", "reports", "weather", "book.sqlite*", "thresholds*", "__pycache__"
    )

    def copied(folder: Path) -> Path:
        return Path(shutil.copytree(SAMPLE, folder, ignore=left))

    return copied


@pytest.fixture
def course_copy(tmp_path: Path, copy_of_sample: Callable[[Path], Path]) -> Path:
    """A copy of the sample course, without anything an earlier run wrote there."""
    return copy_of_sample(tmp_path / "course")


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


def _is_field_check(item: pytest.Item) -> bool:
    reasons = [str(mark.kwargs.get("reason", "")) for mark in item.iter_markers("skipif")]
    asks = "field_data" in getattr(item, "fixturenames", ())
    return asks or any("WINTERRISK_FIELD_DATA" in reason for reason in reasons)


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """The whole suite runs a file at a time on two cores; what is named on the command line runs as it is."""
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS and not hasattr(config, "workerinput")
    if whole and not config.option.markexpr and getattr(config.option, "numprocesses", 0) is None:
        config.option.numprocesses = min(2, os.cpu_count() or 1)
        config.option.dist = "loadfile"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long studies run only when asked for: `pytest -m slow`."""
    for item in items:
        if _is_field_check(item):
            item.add_marker("field")
    if config.option.markexpr:
        return
    slow = pytest.mark.skip(reason="a long study: run `pytest -m slow`")
    for item in items:
        if "slow" in item.keywords:
            item.add_marker(slow)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Says how many tests were collected and how many checks on field data ran."""
    stats = terminalreporter.stats
    ran = [r for kind in ("passed", "failed", "xfailed", "xpassed") for r in stats.get(kind, [])]
    skipped = stats.get("skipped", [])
    field, left = (
        len({r.nodeid for r in rows if "field" in getattr(r, "keywords", ())}) for rows in (ran, skipped)
    )
    terminalreporter.write_line(f"tests collected: {len(ran) + len(skipped)}")
    terminalreporter.write_line(f"field checks run: {field}, skipped: {left}")
