"""The page of thresholds says what the table says."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from thresholds_page import PAGE, page


def test_the_page_is_the_table() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run python tests/docs/thresholds_page.py"
