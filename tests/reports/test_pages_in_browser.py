"""The pages of a night and of a season in a real headless browser: phone, desk, dark, print, and what people write."""

import shutil
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from contrast import AA_LARGE, AA_TEXT, contrast
from pages import sample_pages

CHROMIUM = shutil.which("chromium")
playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: extra refs")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine")

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
NAMES = ("night", "season")
WIDTHS = (375, 1280)
TOO_WIDE = """() => [...document.querySelectorAll('body *')].filter(e => !e.closest('.wide, svg, details:not([open])')
  && e.getBoundingClientRect().right > innerWidth + 1).map(e => e.tagName + ' ' + e.textContent.trim().slice(0, 40))"""
TEXTS = """() => {
  const seen = [];
  const paper = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor;
    if (!/, 0\\)$|transparent/.test(c)) return c; } return 'rgb(255, 255, 255)'; };
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    if (!own || e.closest('figure svg, title, desc')) continue;
    const s = getComputedStyle(e), svg = e.closest('svg');
    const ink = svg ? s.fill : s.color, words = e.textContent.trim().slice(0, 30);
    seen.push([ink, paper(svg || e), parseFloat(s.fontSize), +s.fontWeight, words]);
  }
  return seen;
}"""


PICTURES = """() => [...document.querySelectorAll('svg')].filter(s => !s.parentElement.closest('svg'))
  .map(s => s.getAttribute('aria-labelledby').split(' ').map(i => document.getElementById(i).textContent))"""


@pytest.fixture(scope="module")
def pages(
    tmp_path_factory: pytest.TempPathFactory, copy_of_sample: Callable[[Path], Path]
) -> dict[str, Path]:
    """Pages of a copy of the sample, by name."""
    course = copy_of_sample(tmp_path_factory.mktemp("pages") / "course")
    return sample_pages(course)


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    with playwright.sync_playwright() as running:
        started = running.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_no_request_no_overflow_no_complaint(browser, pages: dict[str, Path], name: str, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 800})
    asked, said = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(pages[name].as_uri())
    assert asked == [pages[name].as_uri()], "one file and nothing else"
    assert said == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(TOO_WIDE) == []
    assert page.evaluate("document.scripts.length") == 0
    page.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", NAMES)
def test_every_text_stands_out_as_it_is_shown(
    browser, pages: dict[str, Path], name: str, scheme: str
) -> None:
    page = browser.new_page(color_scheme=scheme)
    page.goto(pages[name].as_uri())
    texts = page.evaluate(TEXTS)
    assert len(texts) > 100
    papers = {t[1] for t in texts}
    assert any(contrast(p, "#fff") > 10 for p in papers) == (scheme == "dark"), "the page follows the scheme"
    faint = [
        (text, round(contrast(ink, paper), 2))
        for ink, paper, size, weight, text in texts
        if contrast(ink, paper) < (AA_LARGE if size >= 24 or (size >= 18.66 and weight >= 700) else AA_TEXT)
    ]
    assert not faint
    page.close()


@pytest.mark.parametrize("name", NAMES)
def test_every_picture_has_words_and_the_headings_go_in_order(
    browser, pages: dict[str, Path], name: str
) -> None:
    page = browser.new_page()
    page.goto(pages[name].as_uri())
    pictures = page.evaluate(PICTURES)
    assert len(pictures) == 24 and len({title for title, _ in pictures}) == 24
    assert all(len(words) > 40 for _, words in pictures)
    levels = page.evaluate("() => [...document.querySelectorAll('h1,h2,h3,h4')].map(h => +h.tagName[1])")
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert page.evaluate("document.documentElement.lang") == "en"
    page.close()


@pytest.mark.parametrize("name", NAMES)
def test_printed_pages_lose_nothing_at_the_edge(
    browser, pages: dict[str, Path], name: str, tmp_path: Path
) -> None:
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 is not installed: extra refs")
    page = browser.new_page()
    page.goto(pages[name].as_uri())
    page.pdf(path=tmp_path / "print.pdf", format="A4", prefer_css_page_size=True)
    printed = pdfium.PdfDocument(tmp_path / "print.pdf")
    heading = page.evaluate("document.querySelector('h1').textContent").strip()
    for number, sheet in enumerate(printed):
        text = sheet.get_textpage()
        width = sheet.get_size()[0]
        boxes = [text.get_charbox(i) for i in range(text.count_chars())]
        assert all(left >= -1 and right <= width + 1 for left, _, right, _ in boxes), f"page {number + 1}"
        ink = sheet.render(scale=0.5).to_numpy()
        assert ink.std() > 1, f"page {number + 1} is empty"
        if number == 0:
            assert heading in " ".join(text.get_text_bounded().split())
    if name == "season":
        first = " ".join(printed[0].get_textpage().get_text_bounded().split())
        assert "What next?" in first, "the owner's answers stand on the first sheet"
    page.close()
