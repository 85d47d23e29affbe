"""Compares what a test run counted with what is recorded here: fewer tests or field checks is a failure.

    python tests/docs/recorded_counts.py OUTPUT_OF_PYTEST

Raise the numbers when tests are added; lower one only with the reason in the commit.
"""

import os
import re
import sys
from pathlib import Path

TESTS = 3624
FIELD_CHECKS = 88


def counted(text: str) -> tuple[int, int]:
    """Tests collected and field checks run, from the last lines of pytest's output."""
    tests = re.findall(r"^tests collected: (\d+)$", text, re.M)
    field = re.findall(r"^field checks run: (\d+), skipped: \d+$", text, re.M)
    if not tests or not field:
        raise SystemExit("the test run printed no counts: did it end early?")
    return int(tests[-1]), int(field[-1])


def main() -> int:
    """0 where nothing has been lost."""
    tests, field = counted(Path(sys.argv[1]).read_text(encoding="utf-8"))
    wanted = FIELD_CHECKS if os.environ.get("WINTERRISK_FIELD_DATA") else 0
    print(f"tests collected: {tests} (recorded {TESTS}); field checks run: {field} (recorded {wanted})")
    if tests < TESTS or field < wanted:
        print(
            "fewer than recorded: tests were lost, or raise no alarm by editing the numbers with the reason"
        )
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
