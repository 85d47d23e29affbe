"""Whatever a course, a note or a record says, a message stays a message: short, 7-bit, of one headline, no markup."""

import copy
import json
import random
import re
from pathlib import Path

import pytest
from fuzzing import NASTY, limited

from winterrisk import nightly
from winterrisk.reports.alert import alert_text, body, headline
from winterrisk.science.faults import Fault

HEADLINE, BODY = 160, 600
"""Lengths that phones and people take (the published rules of alerts)."""
WORDS = [
    *(part.decode("utf-8", "replace") for part in NASTY),
    "\r\nBcc: other@example.invalid", "\u2028Subject: x", "a" * 3000, "<img src=x onerror=alert(1)>", "{{ 7*7 }}",
    "{% raw %}", "$\\frac{1}{0}$", "]]>", "\N{GRINNING FACE}", "", " ",
]  # fmt: skip
FREE = ("course", "zone", "why", "reason", "text", "area", "source", "held_because", "room")
"""Keys of a record whose words come from people or services."""
FEW, MANY = range(75), pytest.param(range(20_000), marks=pytest.mark.slow)


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> dict:
    """A night of the sample with calls, notices, and zones of which nothing is said."""
    import datetime as dt
    import shutil

    home = tmp_path_factory.mktemp("messages") / "course"
    shutil.copytree(
        sample,
        home,
        ignore=shutil.ignore_patterns("nights", "weather", "reports", "*.sqlite*", "sample_parts"),
    )
    quick = nightly.Settings(n_ground=1, n_paths=2, n_draws=20, zones=("2 low", "4 low", "7 low"))
    night = nightly.run(home, dt.date(2025, 2, 25), send=False, settings=quick).record
    night["cannot_say"] = [{"zone": "4 low", "why": "no air temperature for 60 of the last 72 h"}]
    night["data"]["notices"] = [
        {"kind": kind, "zone": "7 low", "text": "something to mind"}
        for kind in ("cover_danger", "refused", "weather")
    ]
    assert night["calls"]
    return json.loads(json.dumps(night))


def spoilt(value: object, pick: random.Random, key: str = "") -> object:
    """The record with words of people and services changed for nasty ones."""
    if isinstance(value, dict):
        return {k: spoilt(v, pick, k) for k, v in value.items()}
    if isinstance(value, list):
        return [spoilt(v, pick, key) for v in value]
    return pick.choice(WORDS) if isinstance(value, str) and key in FREE and pick.random() < 0.5 else value


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_a_message_stays_a_message(record: dict, numbers: range) -> None:
    for number in numbers:
        night = spoilt(copy.deepcopy(record), random.Random(f"words {number}"))
        with limited():
            head, rest, whole = headline(night), body(night), alert_text(night)
        assert 0 < len(head) <= HEADLINE and len(rest) <= BODY, number
        for text in (head, rest):
            assert text.isascii() and not re.search(r"[\x00-\x1f\x7f]", text), (number, text)
        assert whole == f"{head}\n\n{rest}\n"
        assert head.startswith(("LET AIR IN UNDER", "CANNOT SAY")), (
            "what presses most comes first, whatever is said"
        )


@pytest.mark.parametrize("word", WORDS)
def test_a_fault_is_one_line(word: str) -> None:
    said = str(Fault(f"course.toml {word}", word, word, word))
    assert len(said.splitlines()) == 1 and not re.search(r"[\x00-\x1f\x7f\u202a-\u202e]", said)


@pytest.mark.parametrize("word", ["<script>x</script>", "$\\frac{1}{0}$", "{{ 7*7 }}", "4 & low"])
def test_names_are_no_markup_on_page_or_picture(
    tmp_path: Path, sample: Path, winterrisk_command, word: str
) -> None:
    """A zone's name is printed as it is, in the page and in figures, whose library reads $...$ as formulas."""
    import shutil

    home = tmp_path / "course"
    shutil.copytree(
        sample, home, ignore=shutil.ignore_patterns("nights", "weather", "reports", "*.sqlite*", "book")
    )
    text = (home / "course.toml").read_text(encoding="utf-8")
    name = word.replace("/", "").replace("\\", "")
    start = text.index('name = "', text.index("[[areas"))
    end = text.index('"', start + 8)
    old = text[start + 8 : end]
    (home / "course.toml").write_text(text[:start] + f'name = "{name}"' + text[end + 1 :], encoding="utf-8")
    assert winterrisk_command("check", home)[0] in (0, 2), old
    code, _, err = winterrisk_command("weather", home, "--on", "2025-02-25")
    assert code in (0, 2, 3) and "Traceback" not in err
    for page in home.rglob("*.html"):
        assert "<script>x" not in page.read_text(encoding="utf-8")
