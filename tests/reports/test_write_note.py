"""Drafts are rewritten while nobody has touched them; what somebody edited is never written over."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from winterrisk.reports.note_html import note_page
from winterrisk.reports.write_note import is_untouched, sealed, write_note

FIRST, SECOND = "# Note\n\nFirst draft.\n", "# Note\n\nSecond draft.\n"


def test_an_untouched_draft_is_renewed(tmp_path: Path) -> None:
    write_note(tmp_path, "a", FIRST)
    markdown, page, text, kept = write_note(tmp_path, "a", SECOND)
    assert kept == () and text == sealed(SECOND)
    assert "Second draft." in markdown.read_text() and "<p>Second draft.</p>" in page.read_text()


def test_an_edited_draft_stays_byte_for_byte_and_the_page_follows_it(tmp_path: Path) -> None:
    markdown, page, _, _ = write_note(tmp_path, "a", FIRST)
    edited = markdown.read_text().replace("First draft.", "My **own** words.")
    markdown.write_text(edited)
    _, _, text, kept = write_note(tmp_path, "a", SECOND)
    assert markdown.read_text() == edited == text and kept == (markdown,)
    assert "My <strong>own</strong> words." in page.read_text()


@pytest.mark.parametrize("cut", ["seal", "word"])
def test_an_edited_page_stays_too(tmp_path: Path, cut: str) -> None:
    _, page, _, _ = write_note(tmp_path, "a", FIRST)
    text = page.read_text()
    changed = text.split("\n<!-- draft")[0] if cut == "seal" else text.replace("First", "1st")
    page.write_text(changed)
    _, _, _, kept = write_note(tmp_path, "a", SECOND)
    assert page.read_text() == changed and kept == (page,)


def test_a_file_of_somebody_elses_is_never_ours(tmp_path: Path) -> None:
    home = tmp_path / "reports" / "notes"
    home.mkdir(parents=True)
    (home / "a.md").write_text("hello")
    _, _, text, kept = write_note(tmp_path, "a", FIRST)
    assert text == "hello" and kept == (home / "a.md",)
    assert not list(home.glob(".writing-*"))


@given(st.text(max_size=200), st.text(min_size=1, max_size=5))
def test_a_seal_holds_for_its_text_and_no_other(text: str, more: str) -> None:
    assert is_untouched(sealed(text))
    if more.strip():
        assert not is_untouched(more + sealed(text))


def test_what_people_wrote_is_escaped() -> None:
    page = note_page(
        '# A <script>alert(1)</script>\n\n- one & two\n- "three"\n\n| a | b |\n|---|---|\n| <i> | 2 |\n'
    )
    assert "<script>alert" not in page and "<i>" not in page and "one &amp; two" in page
    assert page.count("<li>") == 2 and "<th>a</th>" in page and "<td>2</td>" in page
    assert "<!-- draft" not in note_page(sealed(FIRST)).split("</style>")[1]
