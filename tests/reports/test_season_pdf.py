"""The season as a PDF in both makes: every word of the page, nothing cut off, no empty page, the same bytes."""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from test_season import HOSTILE, WINTER, course_folder, keep, night

from winterrisk import season
from winterrisk.reports.page_blocks import Picture, Table, Text, page_blocks
from winterrisk.reports.pdf_style import MAY_BREAK
from winterrisk.reports.plain_pages import column_widths, width, wrapped
from winterrisk.reports.write_pdf import PRINTED, page_pdf
from winterrisk.reports.write_plain_pdf import plain_pdf

NO_PACKAGE = "import sys; sys.modules['weasyprint'] = None"
NO_PANGO = """
import cffi
def missing(self, name, flags=0):
    raise OSError(f"cannot load library '{name}': error 0x7e")
cffi.FFI.dlopen = missing
"""
"""Loading of every system library fails in the loader itself; the layout library's own start meets it."""
COMMAND = """
import sys
from winterrisk.cli import main
sys.argv = ["winterrisk", "season", *sys.argv[1:]]
main()
"""
PLACES = """
[[areas.zones]]
name = "spot {n}"
template = "ridge"
share = 0.02
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = course_folder(tmp_path_factory.mktemp("pdf") / "course")
    for on, chance in (("2025-02-24", 0.1), ("2025-02-25", 0.4), ("2025-02-26", 0.45)):
        keep(made, night(on, chance, calls=chance > 0.3))
    return made


def run_command(before: str, folder: Path, *, home: str | None = None) -> subprocess.CompletedProcess[str]:
    """The command in a Python of its own, after some lines that take something away from it."""
    settings = dict(os.environ)
    if home is not None:
        settings = {k: v for k, v in settings.items() if not k.startswith(("MPL", "XDG"))} | {"HOME": home}
    arguments = [sys.executable, "-c", before + COMMAND, str(folder), WINTER]
    return subprocess.run(
        arguments, env=settings, capture_output=True, text=True, encoding="utf-8", check=False
    )


def words_of(content: bytes) -> str:
    """All words of a PDF without spaces, read by another library than those that wrote it."""
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 reads the PDF; pip install '.[refs]'")
    document = pdfium.PdfDocument(content)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    return "".join(text.replace(MAY_BREAK, "").split())


def assert_whole(content: bytes, page: str) -> None:
    """Every word of the page stands in the PDF as often as there, or more (heads of tables are repeated)."""
    found = words_of(content)
    for block in page_blocks(page):
        if isinstance(block, Text):
            pieces = block.words.split()
        elif isinstance(block, Table):
            pieces = [word for row in block.rows for cell in row for word in cell.split()]
        else:
            continue
        for word in pieces:
            assert word in found, word


def assert_laid_out(content: bytes) -> None:
    """No page is empty, and every letter stands inside its page."""
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 reads the PDF; pip install '.[refs]'")
    for page in pdfium.PdfDocument(content):
        text, (wide, high) = page.get_textpage(), page.get_size()
        assert len(text.get_text_range().split()) > 15  # more than its foot line
        for i in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(i)
            assert left >= 0 and bottom >= 0 and right <= wide and top <= high


def needs_layout() -> None:
    try:
        import weasyprint  # noqa: F401
    except ImportError:
        pytest.skip("WeasyPrint is not installed; pip install '.[pdf]'")
    except OSError as fault:
        pytest.skip(f"WeasyPrint finds no Pango: {fault}")


def test_printed_as_the_page_prints_it_holds_every_word(folder: Path) -> None:
    needs_layout()
    told = season.run(folder, WINTER, pdf=True)
    assert told.printed_by == PRINTED
    content = (told.path.parent / "season.pdf").read_bytes()
    assert_whole(content, told.page)
    assert_laid_out(content)
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 reads the PDF; pip install '.[refs]'")
    assert pdfium.raw.FPDFCatalog_IsTagged(pdfium.PdfDocument(content))  # it can be read aloud
    time.sleep(1.1)  # dates of a PDF go by the second
    assert page_pdf(told.page, told.record).content == content


def test_printed_in_another_process_it_is_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    needs_layout()
    here = season.run(folder, WINTER, pdf=True).path.parent
    shutil.copytree(folder, tmp_path / "copy", ignore=shutil.ignore_patterns("reports"))
    assert run_command("", tmp_path / "copy").returncode == 0
    there = tmp_path / "copy" / "reports" / here.name
    assert (there / "season.pdf").read_bytes() == (here / "season.pdf").read_bytes()


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        (NO_PACKAGE, "plain pages: WeasyPrint is not installed; pip install 'winterrisk[pdf]'"),
        (NO_PANGO, "plain pages: WeasyPrint found no Pango on this system (cannot load library"),
    ],
)
def test_without_the_layout_library_plain_pages_hold_every_word(
    folder: Path, tmp_path: Path, missing: str, words: str
) -> None:
    if missing is NO_PANGO:
        needs_layout()
    copied = tmp_path / "copy"
    shutil.copytree(folder, copied, ignore=shutil.ignore_patterns("reports"))
    done = run_command(missing, copied, home=os.devnull if missing is NO_PACKAGE else None)
    assert (done.returncode, done.stderr) == (0, "")
    assert words in done.stdout
    assert done.stdout.splitlines()[-1].startswith("season.pdf: ")
    report = copied / "reports" / "season-2024-25"
    content = (report / "season.pdf").read_bytes()
    assert_whole(content, (report / "season.html").read_text(encoding="utf-8"))
    assert_laid_out(content)
    told = season.run(folder, WINTER)
    assert plain_pdf(told.page, told.record) == content  # another process, another second, another folder


def test_plain_pages_carry_the_pictures_and_go_over_many_pages(tmp_path: Path) -> None:
    made = course_folder(tmp_path / "course")
    text = (made / "course.toml").read_text(encoding="utf-8").replace("share = 0.8", "share = 0.6")
    more = "".join(PLACES.format(n=n) for n in range(10))
    (made / "course.toml").write_text(text + more, encoding="utf-8")
    for on, chance in (("2025-02-24", 0.1), ("2025-02-25", 0.4)):
        keep(made, night(on, chance, calls=True))
    told = season.run(made, WINTER)
    content = plain_pdf(told.page, told.record)
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 reads the PDF; pip install '.[refs]'")
    pages = list(pdfium.PdfDocument(content))
    images = sum(1 for page in pages for thing in page.get_objects() if thing.type == 3)  # 3: an image
    assert images == sum(1 for zone in told.record["zones"] if zone["chances"]) == 2
    assert len(pages) > 2
    assert f"page{len(pages)}of{len(pages)}" in words_of(content)
    assert_whole(content, told.page)
    assert_laid_out(content)


@pytest.mark.parametrize("text", [*HOSTILE[::2], "w" * 400])
def test_words_of_people_are_words_in_both_makes(tmp_path: Path, text: str) -> None:
    made = course_folder(tmp_path / "course", book=False)
    (made / "book").mkdir()
    quoted = '"' + text.replace('"', '""') + '"'
    decisions = f"time,text,reason,night,who,told\n2025-03-13T16:30,{quoted},{quoted},,{quoted},{quoted}\n"
    (made / "book" / "decisions.csv").write_text(decisions, encoding="utf-8")
    told = season.run(made, WINTER)
    for content in (plain_pdf(told.page, told.record), page_pdf(told.page, told.record).content):
        assert_laid_out(content)
        if all(ord(letter) < 0x500 for letter in text):  # other writing may be read back in another order
            assert "".join(text.split()) in words_of(content)
        assert b"/JavaScript" not in content and b"/Launch" not in content


def test_a_page_asks_nobody_for_anything_when_it_is_printed(folder: Path) -> None:
    needs_layout()
    told = season.run(folder, WINTER)
    asking = told.page.replace("</main>", '<img src="http://127.0.0.1:9/x.png" alt="no picture"></main>')
    assert asking != told.page
    assert "nopicture" in words_of(page_pdf(asking, told.record).content)


def test_blocks_of_a_page_in_order() -> None:
    page = """<head><title>not shown</title><style>p {}</style></head><h1>A &amp; b</h1>
    <p>One <b>two</b><br>three</p><ul><li>dot</li></ul><ol><li>first</li><li>second</li></ol>
    <svg aria-label="x"><title>A picture</title><desc>of it</desc><g><title>inner</title><text>12</text></g></svg>
    <table><thead><tr><th>Day</th><th>Words</th></tr></thead><tbody>
    <tr><td>Mon</td><td>a<br>b</td></tr><tr><td colspan="2">both</td></tr></tbody></table>"""
    assert page_blocks(page) == [
        Text("A & b", 1, True),
        Text("One two\nthree"),
        Text("dot", mark="•"),
        Text("first", mark="1."),
        Text("second", mark="2."),
        Picture("A picture", "of it"),
        Table([["Day", "Words"], ["Mon", "a\nb"], ["both", ""]], heads=1),
    ]


def test_lines_and_columns_keep_within_their_room() -> None:
    words = "of 2 plugs: annual bluegrass 2 alive " * 6 + "x" * 300
    lines = wrapped(words, 9.0, 200.0)
    assert all(width(line, 9.0) <= 200.0 for line in lines)
    assert "".join("".join(lines).split()) == "".join(words.split())
    widths = column_widths([["Day", "Words"], ["Fri 10 Jan", words]], 8.0, 400.0)
    assert sum(widths) == pytest.approx(400.0)
    assert widths[0] > width("Fri 10 Jan", 8.0)
